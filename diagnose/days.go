package diagnose

import (
	"fmt"

	"underlap/diagnose/casefile"
	"underlap/diagnose/explain"
	"underlap/diagnose/sightings"
)

// Today is the date it is now. No day after it is taken.
func (c *Call) Today() sightings.Day { return sightings.DayOf(c.now()) }

// Days is what is on record by day: what was seen, and the weather.
func (c *Call) Days() sightings.History { return sightings.From(c.state) }

// Day writes one day as it is typed (see sightings.ParseEntry) and says what was kept. An
// earlier entry for the same day stays in the log.
func (c *Call) Day(text string) (kept string, err error) {
	e, err := sightings.ParseEntry(text, c.Today())
	if err != nil {
		return "", &InputError{Text: err.Error()}
	}
	switch {
	case e.Look != nil:
		return e.Day.String() + " " + e.Look.String(), c.write(sightings.LookEvent(*e.Look))
	case e.Weather != nil:
		return e.Day.String() + " weather: " + e.Weather.String(), c.write(sightings.WeatherEvent([]sightings.Weather{*e.Weather}, "typed"))
	}
	list := sightings.EntriesOn(c.state, e.Day)
	if len(list) == 0 {
		return "", &InputError{Text: fmt.Sprintf("%s: nothing is on record of what was seen that day, so there is nothing to take back", e.Day)}
	}
	for _, x := range list {
		if err := c.write(casefile.Event{Kind: casefile.KindWithdrawn, About: x.ID}); err != nil {
			return "", err
		}
	}
	return e.Day.String() + " taken back; the record keeps what it was", nil
}

// Weather writes the days of a file; from is its name.
func (c *Call) Weather(im sightings.Import, from string) error {
	return c.write(sightings.WeatherEvent(im.Days, from+", "+explain.Count(len(im.Days), "day")))
}
