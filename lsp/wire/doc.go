// Package wire carries a language server's messages: frames on a pair of
// streams, a table of methods, replies, cancelling, and the order of things.
// What changes state runs one after another as it came; what only reads runs
// beside it on the snapshot of its moment.
//
// It knows JSON-RPC 2.0 and the life of a server from initialize to exit as
// the Language Server Protocol has it. It refuses to know documents, plans and
// what any other method means.
//
// Messages, ids and errors are those of go.lsp.dev/jsonrpc2. Its stream is not
// used, for it does not find back to the next message after a bad one, nor its
// connection, which answers one request at a time.
package wire
