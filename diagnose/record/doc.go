// Package record counts what was found in closed cases and works out what that says of
// the numbers of the knowledge: how often each cause is met, how far hearsay is to be
// relied on, how much each answer says, and how often the cause is not on the list.
//
// Every number is drawn towards the one it had, as if that rested on a hundred calls:
// few cases move little. Nothing here changes a number; a Lesson is a proposal, written
// into a file only by Keep.
package record
