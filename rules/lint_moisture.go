package rules

func (l *linter) moisture() {
	m := &l.p.Moisture
	if len(m.Rooms) == 0 || len(m.Fittings) == 0 {
		l.say(missing("moisture", ""), "", "room and fitting must each have an entry")
	}
	seen := map[string]bool{}
	for i, r := range m.Rooms {
		at := entry("moisture.room", r.Answer, i, len(m.Rooms))
		l.moistureAnswer(at, "room-use", r.Answer, seen)
		if r.Class < 1 || r.Class > 5 {
			l.say(at, "class", "class %d is not 1 to 5", r.Class)
		}
		if !finite(r.TempC) {
			l.say(at, "temp_c", "temp_c must be a finite number")
		}
		if !(r.PeakRH > 0 && r.PeakRH <= 1) {
			l.say(at, "peak_rh", "peak_rh %v must be over 0 and not over 1", r.PeakRH)
		}
		l.source(at, r.Source)
	}
	seen = map[string]bool{}
	for i, f := range m.Fittings {
		at := entry("moisture.fitting", f.Answer, i, len(m.Fittings))
		l.moistureAnswer(at, "downlight-kind", f.Answer, seen)
		if !positive(f.LowCM) || !positive(f.HighCM) || !(f.LowCM <= f.AreaCM && f.AreaCM <= f.HighCM) {
			l.say(at, "area_cm2", "low_cm2, area_cm2 and high_cm2 must be over 0 and in that order")
		}
		l.source(at, f.Source)
	}
}

// moistureAnswer checks that an entry is for an answer there is, and the only one.
func (l *linter) moistureAnswer(at place, question, answer string, seen map[string]bool) {
	if !l.ofQuestion(question, answer) {
		l.say(at, "answer", "question %q has no answer %q", question, answer)
	}
	if seen[answer] {
		l.say(at, "answer", "answer %q has two entries", answer)
	}
	seen[answer] = true
}
