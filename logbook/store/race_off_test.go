//go:build !race

package store

const stride = 1
