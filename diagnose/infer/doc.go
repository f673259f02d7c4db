// Package infer is an exact inference kernel for sets of causes.
//
// It knows only numbers and ids. A hypothesis is a set of one to three
// causes. Between the causes and the findings stand at most eight binary
// mechanisms. Every answer enters as a likelihood vector over the answers of
// its finding, so a certain answer, an unsure one and a measured number all
// take the same path.
//
// The model is
//
//	P(S)       = pi[|S|] * prod w_c * prod pair factors / Z[|S|]
//	P(x_j=1|S) = gate_j * (1 - (1-leak_j) * prod over c in S of (1-lambda_cj))
//	P(e|S)     = prod over cause findings of sum_a lambda(a) P(a|S)
//	             * sum_x prod_j P(x_j|S) E(x)
//	E(x)       = prod over mechanism findings of sum_a lambda(a) P(a|x)
//
// All sets are enumerated, so the results are exact within the model. Every
// update starts again from the prior and runs through the findings in the
// order of their ids. The order in which answers arrived cannot matter, and
// taking an answer back costs nothing.
//
// Sources: noisy-OR two-layer networks after D. Heckerman, A tractable
// inference algorithm for diagnosing multiple diseases (UAI 1989); noisy-MAX
// after F. J. Diez and S. F. Galan, Efficient computation for the noisy MAX
// (2003); virtual evidence after J. Pearl, Probabilistic Reasoning in
// Intelligent Systems (1988); the conflict measure after F. V. Jensen,
// B. Chamberlain, T. Nordahl and F. Jensen, Analysis in HUGIN of data conflict
// (1991); staged repair after J. Breese and D. Heckerman, Decision-theoretic
// troubleshooting (UAI 1996); the same-decision probability after S. Chen,
// A. Choi and A. Darwiche (2014). All named from memory of these papers.
//
// Multiplications that feed an addition are written float64(a*b) + c. The
// conversion forbids a fused multiply-add, which some processors would use and
// others not.
package infer
