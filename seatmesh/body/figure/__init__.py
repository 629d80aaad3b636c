"""The seated body as solids: bones, skin, posture, and the places that it marks on a blank."""
