package diagnose

import (
	"math"

	"underlap/diagnose/infer"
)

// tempered raises the likelihood of every answer to a power: below 1 each answer says
// less, at 0 none says anything. It stands for answers that are not as independent as
// the model has them, and does much the same work as the reliability of what was told.
func tempered(ev infer.Evidence, power float64) {
	if power == 1 {
		return
	}
	for _, likelihood := range ev.Likelihood {
		for a := range likelihood {
			likelihood[a] = math.Pow(likelihood[a], power)
		}
	}
}
