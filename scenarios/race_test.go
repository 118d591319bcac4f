//go:build race

package scenarios

// budget is what may be asked for in memory: under the race detector several times as much, because pools forget what is put
// into them now and then, on purpose.
func budget(bytes uint64) uint64 { return 8 * bytes }
