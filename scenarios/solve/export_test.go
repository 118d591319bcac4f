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

// Unreachable returns why no way leads to the place of a lesson's first task; "" where one may.
func Unreachable(l *lesson.Lesson) (string, error) {
	d, err := l.Drive(l.Start)
	if err != nil {
		return "", err
	}
	return unreachable(l, l.Stages[0].Reach, d, newEffort(nil)), nil
}
