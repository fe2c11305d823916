"""People's files read into a `Job`, every problem located. Nothing here judges the job or writes to it."""
