// Package rules holds the trade's knowledge as data and nothing else: the
// questions a roofer asks, the causes he chooses between, what each cause looks
// like, what it costs to put right and what to say first for safety.
//
// The knowledge is the TOML under pack/. This package gives it types, loads it,
// and refuses a pack that is wrong (see Lint). It does no arithmetic about
// roofs: numbers are turned into probabilities in diagnose.
//
// How to find a rule: every cause has one entry, in pack/causes/GROUP.toml,
// with everything the program believes of it: how often it is met, how it acts,
// and each answer that speaks for or against it. Every question has one entry in
// pack/questions/BRANCH.toml.
package rules
