"""What a visit is: everything a person typed on it, folded; it opens no file and reads no clock."""
