//go:build race

package store

// Where races are looked for, the tests that turn every byte turn each 17th:
// nothing in them runs at once, and they would take a minute.
const stride = 17

const raced = true
