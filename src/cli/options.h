/* Options: described once as data, which parses the command line, prints the help and feeds the shell
 * completion, so that the three cannot drift apart. */
#ifndef RUNDOWN_CLI_OPTIONS_H
#define RUNDOWN_CLI_OPTIONS_H

#include "base/status.h"
#include "base/text.h"

struct option_spec {
    const char *name;     /* without the dashes; NULL ends the list */
    const char *argument; /* "FILE"; NULL for a switch */
    const char *help;     /* one or two lines */
};

struct command {
    const char *name;
    const char *usage;    /* "LOG… [options]" */
    const char *summary;  /* one line, for the list of commands */
    const char *about;    /* a paragraph and examples, for --help */
    const struct option_spec *options;
    int (*run)(int argc, char **argv); /* argv[0] is the first word after the command; exit status */
};

/* The known commands, ended by one without a name. */
extern const struct command commands[];

/* Walks the words: returns the index into `options`, or OPTION_WORD for a plain word (in *ret_value), or
 * OPTION_END; OPTION_FAULT with a message. `--name value` and `--name=value` both work; `--` ends the options. */
enum { OPTION_END = -1, OPTION_WORD = -2, OPTION_FAULT = -3 };
struct option_walk {
    int argc, at;
    char **argv;
    const struct option_spec *options;
    bool only_words;
};
int option_next(struct option_walk *walk, const char **ret_value, struct message *message);

void options_help(const struct command *command, struct text *text);

/* Prints the message to standard error as `rundown: …` and returns its status as the exit status. */
int cli_fail(const struct message *message);

#endif
