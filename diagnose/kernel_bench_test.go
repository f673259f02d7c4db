package diagnose

import (
	"fmt"
	"testing"

	"underlap/diagnose/infer"
)

// benchRoofs runs a benchmark on the whole pack with sets of up to three causes, after
// 25 and after 60 answers. "heard" and "open" count its findings: a question of which
// several answers may hold is as many.
func benchRoofs(b *testing.B, run func(b *testing.B, x *roof)) {
	for _, answers := range []int{25, 60} {
		b.Run(fmt.Sprintf("answers=%d", answers), func(b *testing.B) {
			x := newRoof(b, answers, 5)
			b.ReportAllocs()
			run(b, x)
			b.ReportMetric(float64(len(x.evidence.Likelihood)), "heard")
			b.ReportMetric(float64(len(x.spec.Findings)-len(x.evidence.Likelihood)), "open")
		})
	}
}

// BenchmarkCompile is the pack turned into tables for one roof.
func BenchmarkCompile(b *testing.B) {
	benchRoofs(b, func(b *testing.B, x *roof) {
		for b.Loop() {
			if _, err := infer.Compile(x.spec); err != nil {
				b.Fatal(err)
			}
		}
	})
}

// BenchmarkPosterior is the evidence to the probabilities of all causes and mechanisms:
// the bar is 1 ms on one core.
func BenchmarkPosterior(b *testing.B) {
	benchRoofs(b, func(b *testing.B, x *roof) {
		for b.Loop() {
			p := x.update(b, x.evidence)
			p.Causes()
			for j := range x.spec.Mechanisms {
				p.Mechanism(j)
			}
		}
	})
}

// BenchmarkValues is a posterior to the worth of every open question: the bar is 10 ms
// on one core. Each run starts from a posterior of its own, made while the clock
// stands, for a posterior keeps what it has worked out.
func BenchmarkValues(b *testing.B) {
	benchRoofs(b, func(b *testing.B, x *roof) {
		for b.Loop() {
			b.StopTimer()
			p := x.update(b, x.evidence)
			b.StartTimer()
			if _, err := x.engine.Values(p, x.scopes, x.damage); err != nil {
				b.Fatal(err)
			}
		}
	})
}
