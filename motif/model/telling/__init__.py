"""The words of all that is wrong with what is meant: a function a fault, which takes what is wrong as values, names and
places and gives the message. Nothing outside this package puts a message of this stage into words."""
