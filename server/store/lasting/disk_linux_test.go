package lasting

import "syscall"

// mountSmall mounts a disk in memory that holds 8 MB.
func mountSmall(dir string) error { return syscall.Mount("none", dir, "tmpfs", 0, "size=8m") }

func unmount(dir string) { syscall.Unmount(dir, syscall.MNT_DETACH) }
