package draw

import (
	"runtime"
	"sync"
	"sync/atomic"
)

// Rows does a job for every row from 0 to n-1, several at a time. Each row is done by itself, so the result does not
// depend on how many.
func Rows(n int, job func(j int)) {
	workers := min(n, runtime.GOMAXPROCS(0))
	if workers < 2 {
		for j := range n {
			job(j)
		}
		return
	}
	var next atomic.Int64
	var all sync.WaitGroup
	for range workers {
		all.Go(func() {
			for {
				j := int(next.Add(1)) - 1
				if j >= n {
					return
				}
				job(j)
			}
		})
	}
	all.Wait()
}
