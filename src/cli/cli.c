#include "cli/cli.h"

#include "base/nearest.h"
#include "cli/commands.h"

static const struct command *find_command(const char *name)
{
    for (const struct command *c = commands; c->name != NULL; c++)
        if (strcmp(c->name, name) == 0)
            return c;
    return NULL;
}

static void print_overview(FILE *file)
{
    fputs("Rundown: from the readings of a battery test to a verdict, claim by claim.\n\n"
          "usage: rundown COMMAND …\n\nCommands:\n",
          file);
    for (const struct command *c = commands; c->name != NULL; c++)
        fprintf(file, "  %-11s %s\n", c->name, c->summary);
    fputs("\n`rundown COMMAND --help` teaches a command, with examples.\n"
          "Exit status: 0 done (whatever the verdict), 2 wrong usage, 3 a file cannot be read or written,\n"
          "4 refused: a guess would change the result, 5 a label, rig, loads or readings file is malformed,\n"
          "6 too large.\n",
          file);
}

static void print_help(const struct command *command)
{
    struct text text = TEXT_EMPTY;
    options_help(command, &text);
    fputs(text_string(&text), stdout);
    text_free(&text);
}

/* For shell completion: `rundown help --words [COMMAND]`. */
const struct option_spec help_options[] = {
    {"words", NULL, "print bare words, as shell completion wants them"},
    {NULL, NULL, NULL},
};

static void print_words(const struct command *command)
{
    for (const struct command *c = commands; command == NULL && c->name != NULL; c++)
        puts(c->name);
    for (const struct option_spec *o = command != NULL ? command->options : NULL; o != NULL && o->name != NULL; o++)
        printf("--%s%s\n", o->name, o->argument != NULL ? "=" : "");
}

static int unknown_command(const char *name)
{
    const char *known[32];
    size_t n = 0;
    for (; n < 31 && commands[n].name != NULL; n++)
        known[n] = commands[n].name;
    known[n] = NULL;
    struct message message;
    status_fail(&message, STATUS_USAGE, "there is no command '%s'", name);
    const char *near = name_nearest(span_of(name), known);
    if (near != NULL)
        status_remedy(&message, "did you mean '%s'?", near);
    else
        status_remedy(&message, "`rundown help` lists the commands");
    return cli_fail(&message);
}

int help_run(int argc, char **argv)
{
    struct option_walk walk = {.argc = argc, .argv = argv, .options = help_options};
    struct message message;
    const char *value = NULL, *name = NULL;
    bool words = false;
    for (int k; (k = option_next(&walk, &value, &message)) != OPTION_END;) {
        if (k == OPTION_FAULT)
            return cli_fail(&message);
        if (k == OPTION_WORD)
            name = value;
        else
            words = true;
    }
    const struct command *command = name != NULL ? find_command(name) : NULL;
    if (name != NULL && command == NULL)
        return unknown_command(name);
    if (words)
        print_words(command);
    else if (command != NULL)
        print_help(command);
    else
        print_overview(stdout);
    return STATUS_OK;
}

static bool asks_help(int argc, char **argv)
{
    for (int k = 0; k < argc && strcmp(argv[k], "--") != 0; k++)
        if (strcmp(argv[k], "--help") == 0 || strcmp(argv[k], "-h") == 0)
            return true;
    return false;
}

int cli_main(int argc, char **argv, const struct cli_outside *outside)
{
    open_outside(outside);
    if (argc < 2) {
        print_overview(stderr);
        return STATUS_USAGE;
    }
    if (strcmp(argv[1], "--version") == 0) {
        puts("rundown " RUNDOWN_VERSION);
        return STATUS_OK;
    }
    if (strcmp(argv[1], "--help") == 0 || strcmp(argv[1], "-h") == 0) {
        print_overview(stdout);
        return STATUS_OK;
    }
    const struct command *command = find_command(argv[1]);
    if (command == NULL)
        return unknown_command(argv[1]);
    if (asks_help(argc - 2, argv + 2)) {
        print_help(command);
        return STATUS_OK;
    }
    return command->run(argc - 2, argv + 2);
}
