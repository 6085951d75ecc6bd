// Package lsp is the language server: it holds what a client has open, checks
// it as it changes, and answers questions about it, as the Language Server
// Protocol 3.17 has it.
//
// State has one writer: messages that change it run one after another and make
// a new snapshot; everything that answers reads a snapshot. It refuses to know
// plumbing: findings come from lint, answers from lsp/answer, layout from
// grammar. Bytes become a client's lines and characters in position.go alone.
package lsp
