package wire

import "sync"

// queue holds messages that wait their turn. Putting never blocks, so that
// reading goes on.
type queue struct {
	mu     sync.Mutex
	filled *sync.Cond
	items  []*request
	closed bool
}

func newQueue() *queue {
	q := &queue{}
	q.filled = sync.NewCond(&q.mu)
	return q
}

func (q *queue) put(r *request) {
	q.mu.Lock()
	defer q.mu.Unlock()
	q.items = append(q.items, r)
	q.filled.Signal()
}

// close lets take hand out what is there and then false.
func (q *queue) close() {
	q.mu.Lock()
	defer q.mu.Unlock()
	q.closed = true
	q.filled.Broadcast()
}

func (q *queue) take() (*request, bool) {
	q.mu.Lock()
	defer q.mu.Unlock()
	for len(q.items) == 0 && !q.closed {
		q.filled.Wait()
	}
	if len(q.items) == 0 {
		return nil, false
	}
	r := q.items[0]
	q.items[0] = nil
	q.items = q.items[1:]
	return r, true
}
