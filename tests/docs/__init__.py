"""The reference for potters, held to the program: its blocks run, its pictures are what the program draws."""
