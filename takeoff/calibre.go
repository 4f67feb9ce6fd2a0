package takeoff

import "potlife/rooms"

// JointForModule is the joint that holds a module with tile of a work size:
// nominal size = work size + joint.
func JointForModule(module, work rooms.Length) rooms.Length { return module - work }
