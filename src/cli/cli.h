/* The command line: `rundown COMMAND …`. */
#ifndef RUNDOWN_CLI_CLI_H
#define RUNDOWN_CLI_CLI_H

#include "base/status.h"

#include <stdbool.h>

/* What the command line may ask of floors that it does not know: main.c hands it over. */
struct cli_serving {
    const char *book;
    bool share;   /* to the local network */
    int port;     /* 0: a free one; -1: the book's usual one, or a free one */
    bool browser; /* open one where there is a display */
    bool quiet;   /* print addresses and codes alone */
};
struct cli_outside {
    enum status (*serve)(const struct cli_serving *serving, struct message *message);
};

/* Runs the command and returns the exit status (base/status.h; docs list them). */
int cli_main(int argc, char **argv, const struct cli_outside *outside);

#endif
