package jog

// RoomIn returns the room to move in one direction only, as a survey finds it.
func RoomIn(d *Drive, way Direction, speed float64) (Room, error) {
	s, err := d.Survey(way.Frame, way.Task, Speeds{Straight: speed, Turn: speed})
	if err != nil {
		return Room{}, err
	}
	for i, room := range s.rooms {
		if room.Direction == way {
			s.ahead.stand(s.ahead.setup, &s.Joints)
			for s.at = i; s.at == i; {
				s.Advance(1)
			}
			return s.rooms[i], nil
		}
	}
	panic("no such direction")
}

// StepsPerTick is after how many steps of iteration a tick leaves off.
const StepsPerTick = stepsPerTick

// CountedTick is a tick that also tells how many steps of iteration it took, and whether it said why the path is blocked or went on
// working that out.
func CountedTick(d *Drive) (goesOn bool, steps int, asked bool) {
	m := d.motion
	before := m.path.steps
	asked = m.ahead.asking != nil
	goesOn = d.Tick()
	return goesOn, m.path.steps - before, asked || m.ahead.asking != nil
}
