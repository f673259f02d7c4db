package rules

import "testing"

// Each fault in what is known of travel is refused, with file and line, and what to do.
func TestBrokenTravelIsRefused(t *testing.T) {
	const file = "travel.toml"
	for _, x := range []struct{ name, old, new, want string }{
		{"no cell", "cell_m = 0.25", "cell_m = 0", "cell_m must be a number over 0"},
		{"all astray", "astray = 0.08", "astray = 1", "astray must lie between 0 and 1"},
		{"a deep flood", "greatest_flood_mm = 50", "greatest_flood_mm = 100", "not over 50"},
		{"falls that do not sum", "garden = 0.70", "garden = 0.80", "they sum to 1"},
		{"a side that is none", "house = 0.06", "north = 0.06", `share for "house"`},
		{"unknown build-up", `id = "uninsulated"`, `id = "bare"`, "is not one of cold"},
		{"shares of ways", `{ by = "drop", share = 0.62, sd_m = 0.15 }`, `{ by = "drop", share = 0.72, sd_m = 0.15 }`, "must sum to 1; they sum to 1.1"},
		{"unknown way", `{ by = "drop", share = 0.62`, `{ by = "jump", share = 0.62`, `way "jump" is not drop, bay, joint or layer`},
		{"a drop that goes along", `{ by = "drop", share = 0.62, sd_m = 0.15 }`, `{ by = "drop", share = 0.62, along_m = 1, sd_m = 0.15 }`, "a drop has none"},
		{"a layer with no width", "along_m = 1.8, sd_m = 1.2, across_m = 0.5, out_holes = 0.6", "along_m = 1.8, sd_m = 1.2", "across_m must be over 0"},
		{"holes in a bay", `{ by = "bay", share = 0.30, along_m = 0.3, sd_m = 0.6 }`, `{ by = "bay", share = 0.30, along_m = 0.3, sd_m = 0.6, out_holes = 0.5 }`, "only a layer has holes"},
		{"unknown place", `id = "pond"`, `id = "puddle"`, "is not one of field"},
		{"no turn", "turn = 2", "turn = 0", "turn must be 1 or more"},
		{"else of itself", `else = "parapet"`, `else = "edge"`, "is not another of"},
		{"seat that is none", `at = { field = 100 }`, `at = { roof = 100 }`, `place "roof" is not one of`},
		{"part that is none", `"kerb:up" = 45`, `"kerb:north" = 45`, `place "kerb:north"`},
		{"seats that do not sum", `at = { field = 100 }`, `at = { field = 90 }`, "must sum to 100; it sums to 90"},
		{"cause that is none", `cause = "pond-seep"`, `cause = "ponds"`, `cause "ponds" does not exist`},
		{"cause without a seat", "[[travel.sits]]\ncause = \"group:trapped\"\nat = { none = 100 }\n", "", "nothing says where it sits on the plan"},
		{"stop on nothing", `when = ["ceiling-bulging is bulging"]`, `when = ["ceiling is bulging"]`, `question "ceiling", which does not exist`},
		{"stop of what", `what = "hose"`, `what = "water"`, `what "water" is not hose or flood`},
		{"stop always and when", "always = true", "always = true\nwhen = [\"snow-then is yes\"]", "either when or always"},
	} {
		t.Run(x.name, func(t *testing.T) {
			files, _ := spoilt(t, file, x.old, x.new)
			refused(t, files, x.want)
		})
	}
	files, at := spoilt(t, file, `{ by = "drop", share = 0.62`, `{ by = "jump", share = 0.62`)
	refused(t, files, at)
}
