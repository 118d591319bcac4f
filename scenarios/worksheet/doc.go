// Package worksheet makes a lesson into a page for paper: its tasks with drawings of the arm from the front, the side and
// above, and a key with the answers. Everything on it is computed from the lesson.
package worksheet
