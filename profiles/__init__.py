"""What is written down about a workstation: shorthand, the profile document, and the files it lives in."""
