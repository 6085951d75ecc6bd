package lsp

import (
	"net/url"
	"path"
	"path/filepath"
	"runtime"
	"strings"
)

// place is a document's address: what the client calls it, a key under which
// all spellings meet, and its file.
type place struct {
	uri  string // the client's own text
	key  string
	file string // "" for what is no file: untitled buffers, old revisions
}

// placeOf reads a client's URI. Nothing is looked up on the disk: links and
// ".." stay as they are written.
func placeOf(uri string) place { return placeOn(uri, runtime.GOOS == "windows") }

// placeOn is placeOf on a system with drives or without.
func placeOn(uri string, drives bool) place {
	p := place{uri: uri, key: uri}
	scheme, rest, ok := strings.Cut(uri, ":")
	if !ok {
		return p
	}
	scheme = strings.ToLower(scheme)
	rest, _, _ = strings.Cut(rest, "#")
	query := ""
	if scheme != "file" {
		rest, query, _ = strings.Cut(rest, "?")
	}
	host := ""
	if after, ok := strings.CutPrefix(rest, "//"); ok {
		host, rest, _ = strings.Cut(after, "/")
		rest = "/" + rest
	}
	decoded, err := url.PathUnescape(rest)
	if err != nil {
		decoded = rest
	}
	if scheme != "file" {
		p.key = scheme + "://" + host + decoded
		if query != "" {
			p.key += "?" + query
		}
		return p
	}
	host = strings.ToLower(host)
	if host == "localhost" {
		host = ""
	}
	drive := strings.TrimPrefix(decoded, "/")
	isDrive := len(drive) > 1 && drive[1] == ':' && isLetter(drive[0])
	if isDrive {
		decoded = "/" + strings.ToLower(drive[:1]) + drive[1:]
	}
	switch {
	case drives && isDrive:
		p.file = filepath.FromSlash(decoded[1:])
	case drives && host != "":
		p.file = `\\` + host + filepath.FromSlash(decoded)
	case !drives && !isDrive && host == "":
		p.file = decoded
	}
	if strings.ContainsRune(p.file, 0) || decoded == "/" {
		p.file = ""
	}
	p.key = "file://" + host + decoded
	return p
}

func isLetter(c byte) bool { return 'a' <= c|0x20 && c|0x20 <= 'z' }

// name is what a document is called in a check: the last part of its path.
func (p place) name() string {
	name := path.Base(strings.TrimPrefix(p.key, "untitled:"))
	if p.file != "" {
		name = filepath.Base(p.file)
	}
	name = strings.Map(func(r rune) rune {
		if r == '/' || r == '\\' || r == 0 {
			return '-'
		}
		return r
	}, name)
	if name == "" || name == "." || name == ".." {
		return "plan.weir"
	}
	return name
}

// beside is the URI of a file below a document's folder, in the client's own
// spelling of that folder.
func (p place) beside(relative string) string {
	folder := p.uri[:strings.LastIndexByte(p.uri, '/')+1]
	parts := strings.Split(relative, "/")
	for i, part := range parts {
		parts[i] = escapePart(part)
	}
	return folder + strings.Join(parts, "/")
}

// escapePart writes one part of a path with everything escaped that is not
// unreserved (RFC 3986, section 2.3), as most clients do.
func escapePart(part string) string {
	const hex = "0123456789ABCDEF"
	var out strings.Builder
	for i := range len(part) {
		c := part[i]
		if isLetter(c) || '0' <= c && c <= '9' || strings.IndexByte("-._~", c) >= 0 {
			out.WriteByte(c)
			continue
		}
		out.WriteByte('%')
		out.WriteByte(hex[c>>4])
		out.WriteByte(hex[c&15])
	}
	return out.String()
}
