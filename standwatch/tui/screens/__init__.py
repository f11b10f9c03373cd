"""The screens: Stand, Clock and help."""
