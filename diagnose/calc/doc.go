// Package calc runs the physics over what is known of a roof: the likely
// build-ups, the room, the place, the outlet. It gives findings for the screen,
// each with its band and its explanation, and the few numbers the inference
// needs: whether a mechanism can act at all, and how much water the breath of
// the room can bring.
//
// It knows which answers feed which sum; the formulas themselves are in
// physics. Where nothing was answered it assumes, and says so.
package calc
