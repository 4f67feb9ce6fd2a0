package store

func victim(string) {}
