// Package lsp is the language server: it holds what a client has open, checks
// it as it changes, and answers questions about it, as the Language Server
// Protocol 3.17 has it.
//
// State has one writer: messages that change it run one after another and make
// a new snapshot; everything that answers reads a snapshot.
//
// Each text of a plan is checked once, from the beginning. A small plan's check
// is done before the next key is struck; a large one's begins when typing rests,
// and until it is done answers come of the check before it: at moved places, or
// with the lines around the edit read anew (view.go). What is told early
// (early.go) is only what the text alone gives away.
//
// It refuses to know plumbing: findings come from lint, answers from lsp/answer,
// layout from grammar. Bytes become a client's lines and characters in
// position.go alone.
package lsp
