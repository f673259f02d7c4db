package rules

// Travel is how water gets from where it enters a flat roof to where it shows: how far
// and which way by build-up, and where on the plan each cause has its seat. All lengths
// are in metres on the plan.
type Travel struct {
	Cell       float64            `toml:"cell_m"`            // side of a cell of the plan, where the roof is small enough
	Strip      float64            `toml:"strip_m"`           // how deep a foot of wall or an edge is taken to be
	PondShare  float64            `toml:"pond_share"`        // how far back from the low side water stands, of the depth
	Rooflight  float64            `toml:"rooflight_m"`       // side of a rooflight whose size nobody asked
	Centres    float64            `toml:"joist_centres_m"`   // joist spacing when it was not told
	SpotSD     float64            `toml:"spot_sd_m"`         // how well a place is told in metres, one standard deviation
	HoleSD     float64            `toml:"hole_sd_m"`         // scatter of a stain about the hole in the layer it came out of
	Astray     float64            `toml:"astray"`            // share of stains that came by a way nobody listed
	ShortWay   float64            `toml:"joists_short_way"`  // share of roofs whose joists run the short way
	LevelUnder float64            `toml:"level_under"`       // a fall less than this, rise over run, leads water nowhere
	Fall       map[string]float64 `toml:"fall"`              // share of roofs that fall towards each side, when it was not told
	Longest    float64            `toml:"longest_wait_min"`  // nobody waits longer than this at one place, minutes
	Enough     float64            `toml:"shown_is_enough"`   // chance of having shown at which the wait ends
	HeadMM     float64            `toml:"greatest_flood_mm"` // deepest water a flood test may stand at
	SoakSays   string             `toml:"soak_says"`         // said of flooding a roof of a type that soaks
	Types      []TravelType       `toml:"type"`
	Places     []TravelPlace      `toml:"place"`
	Sits       []Sits             `toml:"sits"`
	Stops      []Stop             `toml:"stop"`
	Source     string             `toml:"source"`
	Confidence string             `toml:"confidence"`
}

// NotListed is the travel of a build-up that is none of BuildTypes.
const NotListed = "not-listed"

// TravelType is how water travels in one build-up.
type TravelType struct {
	ID         string  `toml:"id"`    // one of BuildTypes, or NotListed
	Says       string  `toml:"says"`  // in a few words, for the screen
	Slow       float64 `toml:"slow"`  // times the lag a cause has over an open bay
	Soaks      bool    `toml:"soaks"` // a flood may fill the insulation before it shows
	Ways       []Way   `toml:"way"`
	Source     string  `toml:"source"`
	Confidence string  `toml:"confidence"`
}

// Ways that water travels.
const (
	WayDrop  = "drop"  // straight down, with a scatter the same in all directions
	WayBay   = "bay"   // along a joist bay, a little towards the fall; never out of the bay
	WayJoint = "joint" // along a board joint or noggin, across the joists
	WayLayer = "layer" // down the fall on a vapour layer or a slab, to a hole or the low edge
)

// Way is one way with its share and its distances.
type Way struct {
	By     string  `toml:"by"`
	Share  float64 `toml:"share"`     // of 1
	Along  float64 `toml:"along_m"`   // mean distance, towards the fall
	SD     float64 `toml:"sd_m"`      // scatter of that distance
	Across float64 `toml:"across_m"`  // scatter at right angles; for a bay it follows from the joist spacing
	Holes  float64 `toml:"out_holes"` // chance that water which meets a hole in the layer comes out there
}

// TravelPlaces are the kinds of place that a plan can have.
var TravelPlaces = []string{"field", "pond", "outlet", "kerb", "glass", "pipe", "edge", "wall-foot", "tiles-foot", "wall-above", "parapet", "unplaced"}

// TravelNowhere is the seat of causes that need no way in from outside.
const TravelNowhere = "none"

// TravelPlace is what is done at one kind of place.
type TravelPlace struct {
	ID      string  `toml:"id"`
	Name    string  `toml:"name"`
	Turn    int     `toml:"turn"`      // order of the hose: low numbers first
	Minutes float64 `toml:"hose_min"`  // how long water is put on
	Flood   bool    `toml:"may_flood"` // a shallow flood may do instead of the hose
	How     string  `toml:"how"`
	Else    string  `toml:"else"` // place that stands for it where the plan has none, "" for somewhere on the plan
	Source  string  `toml:"source"`
}

// Sits says where on the plan a cause has its seat: of 100 such faults, how many at each
// place. A place may be followed by ":up", ":low" or ":side", its part by the fall.
type Sits struct {
	Cause string             `toml:"cause"` // a cause, or "group:NAME" for those of the group without an entry
	At    map[string]float64 `toml:"at"`
}

// Stop says when not to hose or not to flood.
type Stop struct {
	ID     string   `toml:"id"`
	When   []string `toml:"when"`
	Always bool     `toml:"always"`
	What   string   `toml:"what"` // "hose" stops all of it, "flood" only flooding
	Says   string   `toml:"says"`
	Source string   `toml:"source"`
}

// SitsOf is where a cause has its seat: its own entry, or that of its group.
func (t *Travel) SitsOf(c *Cause) (Sits, bool) {
	var group *Sits
	for i := range t.Sits {
		switch t.Sits[i].Cause {
		case c.ID:
			return t.Sits[i], true
		case "group:" + c.Group:
			group = &t.Sits[i]
		}
	}
	if group == nil {
		return Sits{}, false
	}
	return *group, true
}

// Type returns the travel in a build-up.
func (t *Travel) Type(id string) (*TravelType, bool) {
	for i := range t.Types {
		if t.Types[i].ID == id {
			return &t.Types[i], true
		}
	}
	return nil, false
}

// Place returns what is known of a kind of place.
func (t *Travel) Place(id string) (*TravelPlace, bool) {
	for i := range t.Places {
		if t.Places[i].ID == id {
			return &t.Places[i], true
		}
	}
	return nil, false
}
