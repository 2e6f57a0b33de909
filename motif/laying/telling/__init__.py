"""The words of all that goes wrong while a piece is laid: a function a fault, which takes what is wrong as numbers,
names and places and gives the message. Nothing outside this package puts a message of this stage into words."""
