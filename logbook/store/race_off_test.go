//go:build !race

package store

const stride = 1

const raced = false
