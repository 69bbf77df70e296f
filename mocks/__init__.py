"""A studio that is not there: pictures rendered with a known blur, and a shoot made of them."""
