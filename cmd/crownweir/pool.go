package main

import (
	"context"
	"sync"
)

// inOrder works on items, so many at a time, and hands the results on in the
// items' order, each as soon as those before it are there. It stops at the
// first error of done, or when the context ends.
func inOrder[T, R any](ctx context.Context, jobs int, items []T, work func(T) R, done func(R) error) error {
	ctx, cancel := context.WithCancel(ctx)
	var working sync.WaitGroup
	defer working.Wait()
	defer cancel()
	slots := make(chan chan R, jobs) // holds back work that is far ahead of what is handed on
	free := make(chan struct{}, jobs)
	working.Go(func() {
		defer close(slots)
		for _, item := range items {
			select {
			case free <- struct{}{}:
			case <-ctx.Done():
				return
			}
			slot := make(chan R, 1)
			working.Go(func() {
				slot <- work(item)
				<-free
			})
			select {
			case slots <- slot:
			case <-ctx.Done():
				return
			}
		}
	})
	for slot := range slots {
		select {
		case result := <-slot:
			if err := done(result); err != nil {
				return err
			}
		case <-ctx.Done():
			return ctx.Err()
		}
	}
	return ctx.Err()
}
