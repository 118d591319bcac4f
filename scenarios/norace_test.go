//go:build !race

package scenarios

// budget is what may be asked for in memory.
func budget(bytes uint64) uint64 { return bytes }
