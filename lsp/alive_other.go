//go:build !unix

package lsp

import "os"

// alive tells whether there is a process of that number.
func alive(pid int) bool {
	p, err := os.FindProcess(pid)
	if err != nil {
		return false
	}
	p.Release()
	return true
}
