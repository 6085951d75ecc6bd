package quantity

import (
	"testing"

	"github.com/stretchr/testify/assert"
)

// A metric name reads back as the size it stands for.
func TestMetricNames(t *testing.T) {
	named := 0
	for _, s := range Sizes() {
		text, ok := s.Metric()
		if !ok {
			assert.Equal(t, Size(0.625), s, "5/8 alone has no metric name")
			continue
		}
		back, ok := ParseSize(text)
		assert.True(t, ok, text)
		assert.Equal(t, s, back, text)
		named++
	}
	assert.Equal(t, len(Sizes())-1, named)
	_, ok := Size(7).Metric()
	assert.False(t, ok)
}
