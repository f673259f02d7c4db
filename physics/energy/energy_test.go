package energy_test

import (
	"math"
	"testing"

	"pgregory.net/rapid"

	"underlap/physics/energy"
	"underlap/physics/internal/vectortest"
)

// Independent references used here: hand sums, the degree hours of a normal
// distribution in closed form, and a year of hours added up one by one.

func degreeHours(t testing.TB, means [12]float64, room, base float64) float64 {
	t.Helper()
	x, err := energy.DegreeHours(means, room, base)
	if err != nil {
		t.Fatal(err)
	}
	return x
}

func flat(t float64) (means [12]float64) {
	for m := range means {
		means[m] = t
	}
	return means
}

func TestByHand(t *testing.T) {
	var v struct {
		Flat []struct {
			MonthC float64 `toml:"month_c"`
			RoomC  float64 `toml:"room_c"`
			BaseC  float64 `toml:"base_c"`
			Hours  float64 `toml:"degree_hours"`
		}
		London struct {
			TempC  [12]float64 `toml:"temp_c"`
			RoomC  float64     `toml:"room_c"`
			BaseC  float64     `toml:"base_c"`
			ToBase float64     `toml:"to_base"`
			Room   float64
		}
		Bill struct {
			SoundU            float64 `toml:"sound_u"`
			U, Area           float64
			Hours             float64 `toml:"degree_hours"`
			Heat              float64
			Efficiency, Price float64
			CO2Each           float64 `toml:"co2_each"`
			Fuel, Cost, CO2   float64
		}
		Tolerance struct{ Rel float64 }
	}
	vectortest.Load(t, "degree_hours.toml", &v)
	rel := v.Tolerance.Rel
	if len(v.Flat) == 0 {
		t.Fatal("the vector file is empty")
	}
	for _, c := range v.Flat {
		vectortest.NearRel(t, "the same every month", degreeHours(t, flat(c.MonthC), c.RoomC, c.BaseC), c.Hours, rel)
	}
	l := v.London
	vectortest.NearRel(t, "London to a base", degreeHours(t, l.TempC, l.BaseC, l.BaseC), l.ToBase, rel)
	vectortest.NearRel(t, "London, from the room", degreeHours(t, l.TempC, l.RoomC, l.BaseC), l.Room, rel)

	b := v.Bill
	heat, err := energy.ExtraHeat(b.SoundU, b.U, b.Area, b.Hours)
	if err != nil {
		t.Fatal(err)
	}
	vectortest.NearRel(t, "heat", heat, b.Heat, rel)
	bill, err := energy.Heating{Efficiency: b.Efficiency, Price: b.Price, CO2: b.CO2Each}.For(heat)
	if err != nil {
		t.Fatal(err)
	}
	vectortest.NearRel(t, "fuel", bill.Fuel, b.Fuel, rel)
	vectortest.NearRel(t, "cost", bill.Cost, b.Cost, rel)
	vectortest.NearRel(t, "carbon dioxide", bill.CO2, b.CO2, rel)
}

// Hours of a month spread by the normal law with a standard deviation of 3.5 K, as
// temperatures of lowland north-west Europe do (self-made), have degrees
// s (z F(z) + f(z)) below the base and the share F(z) of colder hours (closed form).
func TestAgainstNormalDistribution(t *testing.T) {
	const s = 3.5
	for d := -8.0; d <= 15; d += 0.5 {
		z := d / s
		share := 0.5 * math.Erfc(-z/math.Sqrt2)
		degrees := s * (z*share + math.Exp(-z*z/2)/math.Sqrt(2*math.Pi))
		got := degreeHours(t, flat(10), 10+d, 10+d) / 8760
		vectortest.Near(t, "degrees below the base", got, degrees, 0.09)
		// The room 1 K above the base adds the share of colder hours.
		vectortest.Near(t, "share of colder hours", degreeHours(t, flat(10), 11+d, 10+d)/8760-got, share, 0.05)
	}
}

// A self-made year, hour by hour: the seasons, spells of six days and of three and a
// half, day and night. The hours are added up as they are, and their monthly means
// go through the formula.
func TestAgainstHoursOfAYear(t *testing.T) {
	lengths := [12]int{31, 28, 31, 30, 31, 30, 31, 31, 30, 31, 30, 31}
	var hours []float64
	for h := range 8760 {
		x := 2 * math.Pi * float64(h) / 24
		hours = append(hours, 10.5-6.5*math.Cos((x-2*math.Pi*20)/365)+3*math.Sin(x/6)+2.5*math.Sin(x/3.5+1)+3*math.Sin(x-2))
	}
	var means [12]float64
	at := 0
	for m, days := range lengths {
		for range days * 24 {
			means[m] += hours[at] / float64(days*24)
			at++
		}
	}
	for _, base := range []float64{12, 15.5, 18, 20} {
		toBase, room, plain := 0.0, 0.0, 0.0
		for _, t := range hours {
			if t < base {
				toBase += base - t
				room += 20 - t
			}
		}
		for m, days := range lengths {
			plain += math.Max(0, base-means[m]) * 24 * float64(days)
		}
		got := degreeHours(t, means, base, base)
		vectortest.NearRel(t, "to the base", got, toBase, 0.015)
		vectortest.NearRel(t, "from a room of 20 degC", degreeHours(t, means, 20, base), room, 0.015)
		if math.Abs(got-toBase) >= math.Abs(plain-toBase) {
			t.Errorf("base %v: %v, by the plain means %v, by the hours %v: the formula is worth nothing", base, got, plain, toBase)
		}
	}
}

func TestDegreeHoursIsMonotone(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		temp := rapid.Float64Range(-90, 60)
		var a [12]float64
		for m := range a {
			a[m] = temp.Draw(t, "month")
		}
		base := rapid.Float64Range(-60, 59).Draw(t, "base")
		room := rapid.Float64Range(base, 60).Draw(t, "room")
		x, err := energy.DegreeHours(a, room, base)
		if err != nil {
			t.Fatal(err)
		}
		floor := 0.0
		for m, days := range [12]float64{31, 28, 31, 30, 31, 30, 31, 31, 30, 31, 30, 31} {
			floor += 24 * days * math.Max(0, base-a[m])
		}
		if !(x >= floor*(1-1e-12)) || x > floor+8760*(1/0.71+room-base)+1e-6 {
			t.Fatalf("%v K h; the means alone give %v", x, floor)
		}
		colder := a
		colder[rapid.IntRange(0, 11).Draw(t, "which")] -= rapid.Float64Range(0, 1).Draw(t, "by")
		for m := range colder {
			colder[m] = math.Max(-90, colder[m])
		}
		y, err := energy.DegreeHours(colder, room, base)
		if err != nil || y < x*(1-1e-9)-1e-4 {
			t.Fatalf("a colder month gives %v K h, before %v (%v)", y, x, err)
		}
	})
}

// The formula and its series near 0 meet.
func TestDegreeHoursJoin(t *testing.T) {
	for _, d := range []float64{1e-4 / 0.71, -1e-4 / 0.71} {
		in := degreeHours(t, flat(10), 20, 10+d*(1-1e-9))
		out := degreeHours(t, flat(10), 20, 10+d*(1+1e-9))
		vectortest.NearRel(t, "join", in, out, 1e-8)
	}
}

func TestBadDataIsRefused(t *testing.T) {
	nan, ok := math.NaN(), flat(10)
	errs := map[string]error{}
	_, errs["room"] = energy.DegreeHours(ok, nan, 15)
	_, errs["base"] = energy.DegreeHours(ok, 20, 61)
	_, errs["room below base"] = energy.DegreeHours(ok, 15, 15.5)
	ok[7] = nan
	_, errs["month"] = energy.DegreeHours(ok, 20, 15)
	_, errs["sound"] = energy.ExtraHeat(-1, 1, 1, 1)
	_, errs["u"] = energy.ExtraHeat(0.2, math.Inf(1), 1, 1)
	_, errs["better than sound"] = energy.ExtraHeat(0.2, 0.19, 1, 1)
	_, errs["area"] = energy.ExtraHeat(0.2, 0.3, -1, 1)
	_, errs["hours"] = energy.ExtraHeat(0.2, 0.3, 1, nan)
	_, errs["heat"] = energy.Heating{Efficiency: 1}.For(-1)
	_, errs["efficiency"] = energy.Heating{}.For(1)
	_, errs["efficiency in per cent"] = energy.Heating{Efficiency: 90}.For(1)
	_, errs["price"] = energy.Heating{Efficiency: 1, Price: -1}.For(1)
	_, errs["carbon"] = energy.Heating{Efficiency: 1, CO2: nan}.For(1)
	for name, err := range errs {
		if err == nil {
			t.Errorf("%s: no error", name)
		}
	}
	if x, err := energy.ExtraHeat(0.2, 0.2, 10, 70000); err != nil || x != 0 {
		t.Errorf("a sound roof loses %v kWh more, %v", x, err)
	}
}
