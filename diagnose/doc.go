// Package diagnose is the consultation: it turns the log of a case into a
// Reading. From an answer to the screen the way is always the same:
//
//	log -> facts -> build-up -> physics over the likely build-ups
//	    -> gates and water volumes -> causes -> next question, scope -> Reading
//
// Consult is that way, from end to end. Call adds the log and the interview. The
// steps live in the packages below this one: casefile, measure, facts, buildup,
// calc, infer, scope, letter.
package diagnose
