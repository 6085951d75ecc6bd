package prose

import (
	"testing"

	"github.com/stretchr/testify/assert"
)

func TestLine(t *testing.T) {
	assert.Equal(t, "a café’s sink", Line("a café’s sink"))
	assert.Equal(t, "a\uFFFD[31mb\uFFFDc\uFFFD", Line("a\x1b[31mb\u202ec\n"))
}

func TestMarkdown(t *testing.T) {
	assert.Equal(t, `a \| b \*c\* &lt;i&gt; &amp;`, Markdown("a | b *c* <i> &"))
}
