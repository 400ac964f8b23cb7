package main

import "golang.org/x/sys/windows"

// Consoles of Windows take what is written for the letters of an old code page unless they are told
// otherwise.
func init() {
	const utf8 = 65001
	windows.SetConsoleOutputCP(utf8) // it fails where there is no console, and nothing is lost
}
