"""How somebody is told of a soft frame who does not look at the screen."""
