package calc

import (
	"fmt"

	"underlap/diagnose/explain"
	"underlap/diagnose/facts"
	"underlap/physics/climate"
	"underlap/physics/condense"
	"underlap/physics/moistair"
	"underlap/rules"
)

// defaultPlace is used until a town is given: the middle of England.
const defaultPlace = "birmingham"

// site gathers the inputs of all sums, each with where it is from.
type site struct {
	facts *facts.Set
	pack  *rules.Pack
	place climate.Place
	known bool            // the place was given
	year  *climate.Hourly // hours of weather that the months are those of, or nil

	coldMonth int     // 0 for January
	outC      float64 // mean of the coldest month, degC
	outPa     float64

	room    rules.Room
	indoor  []weightedRoom
	roomSay explain.Input

	area        float64 // m2
	areaAssumed bool
}

// weightedRoom is one possible room with its weight: the class of a room is a
// guess unless its humidity was measured.
type weightedRoom struct {
	air    condense.Indoor
	weight float64
}

// Three-point quadrature of an unknown by its 5, 50 and 95 % values.
const (
	wTail = 0.185
	wMid  = 0.63
)

func newSite(f *facts.Set, p *rules.Pack, where Where) (*site, error) {
	s := &site{facts: f, pack: p, year: where.Year}
	name := f.Typed("place")
	if name == "" {
		name = where.Place
	}
	place, known, err := climateOf(name, where.Year)
	if err != nil {
		return nil, err
	}
	s.place, s.known = place, known
	for m := range place.TempC {
		if place.TempC[m] < place.TempC[s.coldMonth] {
			s.coldMonth = m
		}
	}
	s.outC, s.outPa = place.TempC[s.coldMonth], place.VapourPa[s.coldMonth]
	s.area, s.areaAssumed = 20, true
	if a, ok := f.Number("roof-area"); ok && a > 0 {
		s.area, s.areaAssumed = a, false
	}
	return s, s.setRoom()
}

func (s *site) setRoom() error {
	use := s.facts.Choice("room-use")
	from := "told"
	if use == "" {
		use, from = "living", "assumed: room not told"
	}
	for _, r := range s.pack.Moisture.Rooms {
		if r.Answer == use {
			s.room = r
		}
	}
	if s.room.Answer == "" {
		s.room = s.pack.Moisture.Rooms[0]
	}
	if rh, ok := s.facts.Number("room-humidity"); ok {
		fact, _ := s.facts.Get("room-humidity")
		spread := 0.06
		if fact.Tolerance > 0 {
			spread = fact.Tolerance
		}
		for _, x := range []struct{ d, w float64 }{{-spread, wTail}, {0, wMid}, {spread, wTail}} {
			v := min(max(rh+x.d, 0.05), 0.98)
			s.indoor = append(s.indoor, weightedRoom{condense.Steady{TempC: s.room.TempC, RH: v}, x.w})
		}
		s.roomSay = explain.Input{Name: "Room air", Value: fmt.Sprintf("%.0f °C, %.0f %% read off a meter", s.room.TempC, rh*100), From: fact.Known}
		return nil
	}
	class := s.room.Class
	switch s.facts.Choice("windows-run") {
	case "run":
		class++
	case "no":
		class--
	}
	most := 4 // running windows do not make a home a swimming pool
	if s.room.Class > most {
		most = s.room.Class
	}
	class = min(max(class, 1), most)
	for _, x := range []struct {
		d int
		w float64
	}{{-1, wTail}, {0, wMid}, {1, wTail}} {
		air, err := condense.NewClass(min(max(class+x.d, 1), most), s.room.TempC, 1.10)
		if err != nil {
			return err
		}
		s.indoor = append(s.indoor, weightedRoom{air, x.w})
	}
	s.roomSay = explain.Input{Name: "Room air", Value: fmt.Sprintf("%.0f °C, humidity class %d of EN ISO 13788 at its upper limit with the standard's margin of 1.1, one class either way", s.room.TempC, class), From: from}
	return nil
}

// mid is the likeliest room.
func (s *site) mid() condense.Indoor { return s.indoor[1].air }

// roomRH is the relative humidity of a room in the coldest month, 0 to 1.
func (s *site) roomRH(air condense.Indoor) (tempC, pa, rh float64) {
	tempC, pa = air.Room(s.outC, s.outPa)
	return tempC, pa, min(1, pa/moistair.PSat(tempC))
}

func (s *site) climate() condense.Climate {
	return condense.Climate{TempC: s.place.TempC, VapourPa: s.place.VapourPa}
}

func (s *site) placeInput() explain.Input {
	from := s.place.Source
	if !s.known {
		from = "assumed: no town given; " + from
	}
	return explain.Input{Name: "Place", Value: s.place.Name, From: from}
}

func (s *site) areaInput() explain.Input {
	from := "told"
	if s.areaAssumed {
		from = "assumed: ask for the size"
	}
	return explain.Input{Name: "Roof", Value: fmt.Sprintf("%.0f m²", s.area), From: from}
}

var months = [12]string{"January", "February", "March", "April", "May", "June", "July", "August", "September", "October", "November", "December"}
