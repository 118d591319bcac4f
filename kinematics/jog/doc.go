// Package jog is the arm in time: what one step, one held key and one tick of the clock do to it, and why it
// stops. The clock is a count of ticks of fixed length, so the same jogs from the same joints give the same
// motion. It knows no keys, sockets or files.
package jog
