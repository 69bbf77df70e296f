"""What is made of a judgement to be looked at, printed or passed on."""
