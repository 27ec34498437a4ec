package main

import "golang.org/x/sys/windows"

// roomOn is how many bytes this account may still write to the disk of a folder.
func roomOn(folder string) (uint64, error) {
	name, err := windows.UTF16PtrFromString(folder)
	if err != nil {
		return 0, err
	}
	var mine uint64
	err = windows.GetDiskFreeSpaceEx(name, &mine, nil, nil)
	return mine, err
}
