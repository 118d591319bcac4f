package solve

import "handrule/scenarios/lesson"

// For tests: a check within fewer ticks.
func CheckWithin(l *lesson.Lesson, ticks int) (left int, err error) {
	e := newEffort(nil)
	e.left = ticks
	_, err = check(l, e, nil)
	return e.left, err
}

const MostSearch = mostSearch
