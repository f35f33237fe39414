"""What leaves the program: calendars, and the places a site or a record is sent to."""
