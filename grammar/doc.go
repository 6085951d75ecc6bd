// Package grammar turns the text of a plan into statements and back: a total
// lexer, participle structs that are the grammar of every statement, parsing
// that recovers line by line and never fails, messages of our own, and the
// canonical layout.
//
// NOTATION.md is its reference. The package refuses to know what a statement
// means for a system of pipes: names are not looked up, typicals not placed,
// heights not solved, and nothing is judged.
package grammar
