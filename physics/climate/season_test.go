package climate

import (
	"bytes"
	"compress/gzip"
	"io"
	"math"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"underlap/physics/internal/vectortest"
)

func TestSeasonKeepsTheMeansAndHasNoStep(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		var want [12]float64
		for m := range want {
			want[m] = rapid.Float64Range(-40, 40).Draw(t, "mean")
		}
		year := season(want)
		if len(year) != yearHours {
			t.Fatal(len(year))
		}
		got := meansOf(year)
		for m := range want {
			if math.Abs(got[m]-want[m]) > 1e-9 {
				t.Fatalf("month %d: mean %v, want %v", m, got[m], want[m])
			}
		}
		for i := range year {
			// The corners of a jagged year may lie three times as far out as its means.
			if step := math.Abs(year[(i+1)%yearHours] - year[i]); step > 1 {
				t.Fatalf("hour %d: a step of %v", i, step)
			}
		}
	})
}

func TestBetweenGoesThroughNoon(t *testing.T) {
	v := between([]float64{1, 3, 8})
	if len(v) != 72 {
		t.Fatal(len(v))
	}
	// Half an hour on either side of noon, a 48th of the way to the next noon.
	vectortest.Near(t, "after noon", v[12], 1+2.0/48, 1e-12)
	vectortest.Near(t, "before noon", v[35], 3-2.0/48, 1e-12)
	vectortest.Near(t, "after the last noon", v[60], 8-7.0/48, 1e-12)
	vectortest.Near(t, "round to the first", v[11], 1+7.0/48, 1e-12)
}

func TestNoise(t *testing.T) {
	const n = 200000
	source := noise(1)
	var sum, square, most float64
	below := 0
	for range n {
		x := source.next()
		sum += x
		square += x * x
		most = math.Max(most, math.Abs(x))
		if x < -1 {
			below++
		}
	}
	// Four standard errors; 15.87 % of normal numbers lie below -1.
	vectortest.Near(t, "mean", sum/n, 0, 4/math.Sqrt(n))
	vectortest.Near(t, "variance", square/n, 1, 0.02)
	vectortest.Near(t, "share below -1", float64(below)/n, 0.1587, 0.01)
	if most > 3.5 {
		t.Errorf("a number of %v", most)
	}
	// The first number of SplitMix64 with seed 1234567 is 6457827717110365317 (its
	// published check value, from memory): lanes 58373, 18179, 61022 and 22942 of 65536.
	source = 1234567
	x := uint64(6457827717110365317)
	lanes := float64(x&0xffff+x>>16&0xffff+x>>32&0xffff+x>>48) + 2
	vectortest.Near(t, "first number", source.next(), (lanes/65536-2)*math.Sqrt(3), 1e-12)
}

func TestWander(t *testing.T) {
	const n, keep = 100000, 0.75
	source := noise(2)
	v := source.wander(n, keep)
	var square, next float64
	for i := range v {
		square += v[i] * v[i]
		next += v[i] * v[(i+1)%n]
	}
	vectortest.Near(t, "variance", square/n, 1, 0.04)
	vectortest.Near(t, "kept", next/square, keep, 0.01)
	// Closed: going on from the last number gives the first again.
	source = 2
	first := math.Sqrt(1-keep*keep) * source.next()
	vectortest.Near(t, "closed", keep*v[n-1]+first, v[0], 1e-12)
	vectortest.Near(t, "spread", spread(0), 0.5, 1e-15)
	vectortest.Near(t, "spread of one", spread(1), 0.8413447460685429, 1e-12) // normal table
}

func TestQuantitiesStandInTheOrderOfTheirBits(t *testing.T) {
	for i, q := range quantities {
		if q.field != 1<<i || quantityOf(q.field).name != q.name {
			t.Errorf("%s stands at %d", q.name, i)
		}
	}
}

func TestBadLowlandFilesAreRefused(t *testing.T) {
	pack := func(text string) []byte {
		var b bytes.Buffer
		z := gzip.NewWriter(&b)
		if _, err := z.Write([]byte(text)); err != nil {
			t.Fatal(err)
		}
		if err := z.Close(); err != nil {
			t.Fatal(err)
		}
		return b.Bytes()
	}
	z, err := gzip.NewReader(bytes.NewReader(lowlandFile))
	if err != nil {
		t.Fatal(err)
	}
	raw, err := io.ReadAll(z)
	if err != nil {
		t.Fatal(err)
	}
	good := string(raw)
	if _, err := unpackLowland(pack(good)); err != nil {
		t.Fatal(err)
	}
	for name, packed := range map[string][]byte{
		"not packed":    []byte(good),
		"cut off":       lowlandFile[:len(lowlandFile)/2],
		"a line more":   pack(good + "rain_mm 10 0\n"),
		"another name":  pack(strings.Replace(good, "temp_c", "temp_f", 1)),
		"a value less":  pack(strings.Replace(good, "temp_c 100 461 ", "temp_c 100 ", 1)),
		"a step of 0":   pack(strings.Replace(good, "temp_c 100 ", "temp_c 0 ", 1)),
		"a step of x":   pack(strings.Replace(good, "temp_c 100 ", "temp_c x ", 1)),
		"not a number":  pack(strings.Replace(good, "temp_c 100 461 ", "temp_c 100 4.61 ", 1)),
		"nothing in it": pack(""),
	} {
		if _, err := unpackLowland(packed); err == nil {
			t.Errorf("%s: no error", name)
		}
	}
}
