package main

import (
	"errors"
	"fmt"

	"gonum.org/v1/gonum/num/quat"
	"gonum.org/v1/gonum/spatial/r3"

	"handrule/kinematics"
)

// orientationFlags are the forms in which an orientation may be given. Exactly one of them is.
type orientationFlags struct {
	Rotation   *three `placeholder:"rx,ry,rz" help:"Of the tool frame, fixed X-Y-Z angles in degrees."`
	MovingZYX  *three `name:"moving-zyx" placeholder:"rz,ry,rx" help:"The same as moving Z-Y-X angles in degrees."`
	ZYZ        *three `name:"zyz" placeholder:"a,b,c" help:"The same as moving Z-Y-Z angles in degrees."`
	AxisAngle  *four  `placeholder:"x,y,z,deg" help:"The same as an axis, of any length, and an angle in degrees."`
	Quaternion *four  `placeholder:"w,x,y,z" help:"The same as a quaternion of length one."`
	Matrix     *nine  `placeholder:"nine" help:"The same as a rotation matrix, nine numbers by rows."`
}

func (f orientationFlags) rotation() (r kinematics.Rotation, err error) {
	forms := []struct {
		flag  string
		given bool
		read  func() (kinematics.Rotation, error)
	}{
		{"--rotation", f.Rotation != nil, func() (kinematics.Rotation, error) {
			return kinematics.FixedXYZ(f.Rotation.radians()), nil
		}},
		{"--moving-zyx", f.MovingZYX != nil, func() (kinematics.Rotation, error) {
			return kinematics.MovingZYX(f.MovingZYX.radians()), nil
		}},
		{"--zyz", f.ZYZ != nil, func() (kinematics.Rotation, error) {
			return kinematics.ZYZ(f.ZYZ.radians()), nil
		}},
		{"--axis-angle", f.AxisAngle != nil, func() (kinematics.Rotation, error) {
			v := f.AxisAngle.values
			return kinematics.FromAxisAngle(r3.Vec{X: v[0], Y: v[1], Z: v[2]}, kinematics.Radians(v[3]))
		}},
		{"--quaternion", f.Quaternion != nil, func() (kinematics.Rotation, error) {
			v := f.Quaternion.values
			return kinematics.FromQuaternion(quat.Number{Real: v[0], Imag: v[1], Jmag: v[2], Kmag: v[3]})
		}},
		{"--matrix", f.Matrix != nil, func() (kinematics.Rotation, error) {
			v := f.Matrix.values
			return kinematics.FromMatrix([3][3]float64{[3]float64(v[:3]), [3]float64(v[3:6]), [3]float64(v[6:])})
		}},
	}
	var given []string
	for _, form := range forms {
		if form.given {
			given = append(given, form.flag)
		}
	}
	switch {
	case len(given) == 0:
		return r, errors.New("the orientation is missing: give one of --rotation, --moving-zyx, --zyz, --axis-angle, --quaternion, --matrix")
	case len(given) > 1:
		return r, fmt.Errorf("the orientation is given more than once, by %s: keep only one", listed(given))
	}
	for _, form := range forms {
		if form.given {
			if r, err = form.read(); err != nil {
				err = fmt.Errorf("%s: %w", form.flag, err)
			}
		}
	}
	return r, err
}

func (t three) radians() (a, b, c float64) {
	return kinematics.Radians(t.values[0]), kinematics.Radians(t.values[1]), kinematics.Radians(t.values[2])
}
