package quantity

import "fmt"

// Metric prints a nominal size by its metric name, as `50mm`. False for a size
// that has none. Of two names in use for one size it is the smaller.
func (s Size) Metric() (string, bool) {
	for _, n := range nominal {
		if n.inches == s && n.dn != 0 {
			return fmt.Sprintf("%dmm", n.dn), true
		}
	}
	return "", false
}
