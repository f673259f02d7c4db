package main

import (
	"fmt"
	"io"

	"underlap/rules"
	"underlap/testdata/trial/world"
)

// showCall prints one invented call: what is true, and what is said.
func showCall(w io.Writer, pack *rules.Pack, seed, n uint64) error {
	t := newTrial(pack)
	c, err := world.Make(seed, n, t.asked)
	if err != nil {
		return err
	}
	h := c.House
	fmt.Fprintf(w, "call %d of seed %d, %s, month %d, %.1f x %.1f m, %s roof of %d covered %d with %s\n", n, seed, h.Place.Name, c.Month+1, h.W, h.D, h.Type, h.Built, h.Covered, h.Covering)
	for _, x := range c.Truth {
		fmt.Fprintf(w, "true: %s %s, %.2f L at the ceiling over the weeks before\n", x.ID, x.Unlisted, x.Litres)
	}
	for _, q := range t.asked {
		if a := c.Says[q.ID]; a.Text != "unknown" {
			fmt.Fprintf(w, "  %s=%s@%s\n", q.ID, a.Text, a.Known)
		}
	}
	return nil
}
