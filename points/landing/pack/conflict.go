package pack

// conflict tells why nothing can fit, before anything is tried.
func (s *solver) conflict() error { return nil }
