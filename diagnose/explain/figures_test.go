package explain

import "testing"

func TestFigures(t *testing.T) {
	for _, c := range []struct{ got, want string }{
		{Count(0, "answer"), "0 answers"},
		{Count(1, "answer"), "1 answer"},
		{Count(2, "answer"), "2 answers"},
		{Thousands(999.4), "999"},
		{Thousands(1000), "1,000"},
		{Thousands(-1234567), "-1,234,567"},
		{Thousands(-0.2), "0"},
		{Thousands(5270), "5,270"},
		{Thousands(0), "0"},
		{Price("£", 0, 0), "not priced"},
		{Price("£", 250, 250), "£250"},
		{Price("€", 950, 1200), "€950 to €1,200"},
	} {
		if c.got != c.want {
			t.Errorf("got %q, want %q", c.got, c.want)
		}
	}
}
