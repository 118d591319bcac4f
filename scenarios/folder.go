package scenarios

import (
	"errors"
	"fmt"
	"path/filepath"
	"slices"
)

// readEither reads an arm or a lesson file, whichever it looks like; the other is nil.
func readEither(path string) (*Arm, *Lesson, error) {
	text, err := readFile(path)
	if err != nil {
		return nil, nil, err
	}
	s, root, err := document(path, text)
	if err != nil {
		return nil, nil, err
	}
	if looksLikeLesson(root) {
		lesson, err := s.lesson(root)
		return nil, lesson, err
	}
	arm, err := s.arm(root)
	return arm, nil, err
}

// Check reads an arm or a lesson file, whichever it looks like, and returns a line that says what it is.
func Check(path string) (string, error) {
	arm, lesson, err := readEither(path)
	switch {
	case err != nil:
		return "", err
	case lesson != nil:
		return fmt.Sprintf("lesson %q for %s", lesson.Title, lesson.Arm.Name), nil
	}
	return fmt.Sprintf("arm %q, solved by: %s", arm.Name, arm.Geometry.Solver()), nil
}

// ReadFolder reads every .yaml and .yml file of a folder as an arm or a lesson, in the order of their names. The
// error holds all that is wrong with all of them.
func ReadFolder(dir string) (arms []*Arm, lessons []*Lesson, err error) {
	var files []string
	for _, ending := range []string{"*.yaml", "*.yml"} {
		found, err := filepath.Glob(filepath.Join(dir, ending))
		if err != nil {
			return nil, nil, fmt.Errorf("%s: %w", dir, err)
		}
		files = append(files, found...)
	}
	if len(files) == 0 {
		return nil, nil, fmt.Errorf("%s: holds no arm or lesson file (*.yaml)", dir)
	}
	slices.Sort(files)
	takenArms, takenLessons := slices.Clone(shippedArms), slices.Clone(shippedLessons)
	var problems []error
	for _, file := range files {
		arm, lesson, err := readEither(file)
		switch id := fileID(file); {
		case err != nil:
			problems = append(problems, err)
		case arm != nil && slices.Contains(takenArms, id), lesson != nil && slices.Contains(takenLessons, id):
			problems = append(problems, fmt.Errorf("%s: the name %s is taken already; give the file another", file, quoted(id)))
		case arm != nil:
			arms, takenArms = append(arms, arm), append(takenArms, id)
		default:
			lessons, takenLessons = append(lessons, lesson), append(takenLessons, id)
		}
	}
	return arms, lessons, errors.Join(problems...)
}
