// Package letter turns a reading into words: the reply to the owner, and the
// request for photographs and tape readings.
//
// A letter keeps three voices apart. What the owner told us, what was seen or
// measured, and what we make of it stand in blocks of their own and never share
// a sentence. Every block carries its Voice, so that this can be checked.
// Safety comes before everything, even the greeting; then the whole in a few lines,
// for an owner who reads no further; what would change our mind
// comes last, always.
//
// A Document holds plain text. Escaping and wrapping are done when it is drawn,
// so that nothing a caller typed can act as markup.
package letter
