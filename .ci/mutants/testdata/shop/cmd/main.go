// Command cmd prints what its test looks at.
package main

import (
	"fmt"

	"shop/till"
)

func main() { fmt.Println(said()) }

func said() int { return till.Total(-1, 2) }
