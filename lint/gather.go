package lint

import (
	"crypto/sha256"
	"encoding/hex"
	"fmt"
	"sort"
	"strings"
)

// gather makes one finding of a fault that stands on one line of a typical,
// with the copies it stands for; the worst copy speaks.
func (e *engine) gather() {
	first := map[string]int{}
	var out []draft
	for _, d := range e.drafts {
		if d.copy == nil {
			d.local = d.full
			d.Copies = []string{}
			out = append(out, d)
			continue
		}
		d.local = d.copy.Typical + "." + strings.ReplaceAll(" "+d.full, " "+d.copy.Prefix(), " ")[1:]
		d.Subject = d.local
		key := fmt.Sprintf("%s\x00%s\x00%d\x00%d\x00%s\x00%s", d.Rule, d.File, d.StartByte, d.EndByte, d.local, d.fact)
		i, seen := first[key]
		if !seen {
			first[key] = len(out)
			d.Copies = []string{d.full}
			out = append(out, d)
			continue
		}
		old := &out[i]
		if d.excess > old.excess+1e-9 {
			d.Copies = append(old.Copies, d.full)
			*old = d
		} else {
			old.Copies = append(old.Copies, d.full)
		}
	}
	e.drafts = out
}

// identify gives every finding its id, which stays while rule and subject do,
// and links findings that follow from others.
func (e *engine) identify() {
	seen := map[string]int{}
	byName := map[[2]string]string{}
	for i := range e.drafts {
		d := &e.drafts[i]
		key := d.Rule + "\x00" + d.Subject + "\x00" + d.fact
		n := seen[key]
		seen[key]++
		if n > 0 {
			key = fmt.Sprintf("%s\x00%d", key, n)
		}
		sum := sha256.Sum256([]byte(key))
		d.ID = hex.EncodeToString(sum[:4])
		if _, ok := byName[[2]string{d.Rule, d.full}]; !ok {
			byName[[2]string{d.Rule, d.full}] = d.ID
		}
	}
	for i := range e.drafts {
		d := &e.drafts[i]
		for _, b := range d.because {
			if id, ok := byName[b]; ok && id != d.ID {
				d.Because = append(d.Because, id)
			}
		}
	}
}

// order sorts by file, place and rule, and fills what must not be null.
func (e *engine) order() {
	rank := map[string]int{}
	for i, f := range e.sys.Order {
		rank[f] = i
	}
	sort.SliceStable(e.drafts, func(i, j int) bool {
		a, b := &e.drafts[i], &e.drafts[j]
		if rank[a.File] != rank[b.File] {
			return rank[a.File] < rank[b.File]
		}
		if a.StartByte != b.StartByte {
			return a.StartByte < b.StartByte
		}
		if a.Rule != b.Rule {
			return a.Rule < b.Rule
		}
		return a.ID < b.ID
	})
	e.Findings = make([]Finding, 0, len(e.drafts))
	for _, d := range e.drafts {
		f := d.Finding
		if f.Copies == nil {
			f.Copies = []string{}
		}
		if f.Because == nil {
			f.Because = []string{}
		}
		if f.Related == nil {
			f.Related = []Related{}
		}
		if f.Fixes == nil {
			f.Fixes = []Fix{}
		}
		e.Findings = append(e.Findings, f)
	}
}
