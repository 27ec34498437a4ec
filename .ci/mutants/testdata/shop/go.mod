module shop

go 1.26.0
