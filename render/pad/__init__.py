"""The pad: one web page in which a stroke of the hand is seen under several maps at once."""
