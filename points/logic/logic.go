// Package logic proves who may start and stop each fan.
package logic

import _ "github.com/crillab/gophersat/solver"
