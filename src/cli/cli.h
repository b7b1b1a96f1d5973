/* The command line: `rundown COMMAND …`. */
#ifndef RUNDOWN_CLI_CLI_H
#define RUNDOWN_CLI_CLI_H

/* Runs the command and returns the exit status (base/status.h; docs list them). */
int cli_main(int argc, char **argv);

#endif
