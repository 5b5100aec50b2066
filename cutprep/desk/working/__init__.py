"""What is worked on beside the server: `workshop` keeps the process in which `work` runs the stages of a job."""
