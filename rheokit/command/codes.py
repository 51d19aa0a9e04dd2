"""The exit codes of the command: what a script that calls it can tell apart."""

PASSED, FAILED, UNUSABLE, UNWRITTEN, BROKEN, STOPPED, INTERRUPTED = 0, 1, 2, 3, 4, 5, 130
CODES = (
    "Exit codes: 0 done, and every check passed; 1 a check failed, no law could be fitted for an appendix, or verify found a difference; "
    "2 the folder or the arguments cannot be used; 3 the output "
    "could not be written; 4 a fault of rheokit itself; 5 JupyterLab ended with an error; 130 interrupted."
)
