package climate

// yearDays and yearHours are those of a year without 29 February, which made-up years have.
const (
	yearDays  = 365
	yearHours = 24 * yearDays
)

// season returns a value by hour that runs in straight lines from the middle of one
// month to the middle of the next, round the year, so that months have the given means
// and no step between them.
func season(mean [12]float64) []float64 {
	// border is the value where month m ends, given those in the middle of the months.
	border := func(mid *[12]float64, m int) float64 {
		next := (m + 1) % 12
		a, b := float64(monthDays[m]), float64(monthDays[next])
		return (mid[m]*b + mid[next]*a) / (a + b)
	}
	mid := mean
	// A month's mean is half its middle and a quarter each of its borders. So each round
	// leaves at most half of what is wrong.
	for range 60 {
		was := mid
		for m := range 12 {
			mid[m] += mean[m] - (was[m]/2 + border(&was, (m+11)%12)/4 + border(&was, m)/4)
		}
	}
	out := make([]float64, 0, yearHours)
	for m := range 12 {
		half := 12 * monthDays[m]
		from, to := border(&mid, (m+11)%12), border(&mid, m)
		for i := range half {
			out = append(out, from+(mid[m]-from)*(float64(i)+0.5)/float64(half))
		}
		for i := range half {
			out = append(out, mid[m]+(to-mid[m])*(float64(i)+0.5)/float64(half))
		}
	}
	return out
}

// months calls f with each month, 0 for January, and its hours of the year, up to but
// not with the last.
func months(f func(m, from, to int)) {
	from := 0
	for m, days := range monthDays {
		f(m, from, from+24*days)
		from += 24 * days
	}
}

// meansOf are the means by month of a value by hour.
func meansOf(v []float64) (mean [12]float64) {
	months(func(m, from, to int) {
		for _, x := range v[from:to] {
			mean[m] += x
		}
		mean[m] /= float64(to - from)
	})
	return mean
}

// between is a value by hour that runs in straight lines from noon to noon through the
// values of the days, round the year.
func between(days []float64) []float64 {
	out := make([]float64, 24*len(days))
	for i := range out {
		// Half an hour into the hour, counted from the noon before.
		d, part := (i+12)/24, (float64((i+12)%24)+0.5)/24
		a, b := days[(d+len(days)-1)%len(days)], days[d%len(days)]
		out[i] = a + (b-a)*part
	}
	return out
}
