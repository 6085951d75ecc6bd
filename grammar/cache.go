package grammar

import (
	"strings"
	"sync"
)

// Cache remembers what the text of a statement's lines gave, so that an edit
// costs its own lines. It is safe for use by several goroutines; the files it
// helps to make share statements and must not be written to.
type Cache struct {
	mu      sync.Mutex
	entries map[blockKey]*cacheEntry
	turn    uint32 // counts files read
	shifter shifter
}

type blockKey struct {
	text     string
	indented bool
}

// cacheEntry holds a block read at offset 0, and as it stood when it was last
// asked for: above an edit nothing moves.
type cacheEntry struct {
	origin parsed
	last   parsed
	at     int
	turn   uint32
}

// keepTurns is for how many further files a text that is not met is kept.
const keepTurns = 64

// NewCache makes an empty cache.
func NewCache() *Cache { return &Cache{entries: map[blockKey]*cacheEntry{}} }

// ParseCached reads as Parse does, with the same result, and reads anew only
// the statements whose lines the cache has not met.
func ParseCached(c *Cache, path, source string) *File {
	c.mu.Lock()
	defer c.mu.Unlock()
	c.turn++
	var b blockReader
	f := parse(path, source, func(bl block) parsed {
		return c.read(&b, source[bl.start:bl.end], bl)
	})
	if c.turn%keepTurns == 0 {
		for key, e := range c.entries {
			if c.turn-e.turn >= keepTurns {
				delete(c.entries, key)
			}
		}
	}
	return f
}

func (c *Cache) read(b *blockReader, text string, bl block) parsed {
	e, ok := c.entries[blockKey{text, bl.indented}]
	if !ok {
		text = strings.Clone(text) // or the entry would hold the whole file
		p := b.read(text, 0, bl.indented)
		e = &cacheEntry{origin: p, last: p}
		c.entries[blockKey{text, bl.indented}] = e
	}
	e.turn = c.turn
	if e.at != bl.start {
		e.last, e.at = c.shifter.parsed(e.origin, bl.start), bl.start
	}
	return e.last
}

func (m *shifter) parsed(p parsed, by int) parsed {
	out := parsed{whole: p.whole, comments: shiftWords(p.comments, by)}
	if p.statement != nil {
		out.statement = m.statement(p.statement, by)
	}
	for _, problem := range p.problems {
		problem.Span.Start += by
		problem.Span.End += by
		out.problems = append(out.problems, problem)
	}
	return out
}
