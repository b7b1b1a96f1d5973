#include "cli/options.h"

#include "base/nearest.h"

#include <ctype.h>

static int find_option(const struct option_spec *options, struct span name)
{
    for (int k = 0; options[k].name != NULL; k++)
        if (span_is(name, options[k].name))
            return k;
    return -1;
}

static int unknown_option(const struct option_walk *walk, struct span name, struct message *message)
{
    const char *known[48];
    size_t n = 0;
    for (; n < 47 && walk->options[n].name != NULL; n++)
        known[n] = walk->options[n].name;
    known[n] = NULL;
    status_fail(message, STATUS_USAGE, "there is no option --%.*s", (int)name.n, name.p);
    const char *near = name_nearest(name, known);
    if (near != NULL)
        status_remedy(message, "did you mean --%s?", near);
    else
        status_remedy(message, "see --help");
    return OPTION_FAULT;
}

int option_next(struct option_walk *walk, const char **ret_value, struct message *message)
{
    if (walk->at >= walk->argc)
        return OPTION_END;
    char *word = walk->argv[walk->at++];
    /* `-` alone, and a number below zero, are no options */
    if (walk->only_words || word[0] != '-' || word[1] == '\0' || isdigit((unsigned char)word[1])) {
        *ret_value = word;
        return OPTION_WORD;
    }
    if (strcmp(word, "--") == 0) {
        walk->only_words = true;
        return option_next(walk, ret_value, message);
    }
    char *name = word + (word[1] == '-' ? 2 : 1), *equals = strchr(name, '=');
    struct span span = {name, equals != NULL ? (size_t)(equals - name) : strlen(name)};
    int k = find_option(walk->options, span);
    if (k < 0)
        return unknown_option(walk, span, message);
    const struct option_spec *option = &walk->options[k];
    if (option->argument == NULL && equals == NULL)
        return k;
    if (option->argument != NULL && equals != NULL) {
        *ret_value = equals + 1;
        return k;
    }
    /* what looks like the next option is no value: `--label --rig FILE` lacks one */
    if (option->argument != NULL && walk->at < walk->argc && strncmp(walk->argv[walk->at], "--", 2) != 0) {
        *ret_value = walk->argv[walk->at++];
        return k;
    }
    if (option->argument != NULL)
        status_fail(message, STATUS_USAGE, "--%s needs a value", option->name);
    else
        status_fail(message, STATUS_USAGE, "--%s takes no value", option->name);
    status_remedy(message, "write `--%s%s%s`", option->name, option->argument != NULL ? " " : "",
                  option->argument != NULL ? option->argument : "");
    return OPTION_FAULT;
}

void options_help(const struct command *command, struct text *text)
{
    text_addf(text, "usage: rundown %s %s\n\n%s\n", command->name, command->usage, command->about);
    if (command->options[0].name != NULL)
        text_add(text, "\nOptions:\n");
    for (const struct option_spec *o = command->options; o->name != NULL; o++) {
        char left[64];
        snprintf(left, sizeof left, "--%s%s%s", o->name, o->argument != NULL ? " " : "",
                 o->argument != NULL ? o->argument : "");
        text_addf(text, "  %-24s ", left);
        for (const char *p = o->help; *p != '\0'; p++) {
            text_add_bytes(text, p, 1);
            if (*p == '\n')
                text_add(text, "                           ");
        }
        text_add(text, "\n");
    }
}

int cli_fail(const struct message *message)
{
    char text[1200];
    struct message what = *message;
    what.remedy[0] = '\0';
    status_print(&what, text, sizeof text);
    fprintf(stderr, "rundown: %s\n", text);
    if (message->remedy[0] != '\0')
        fprintf(stderr, "  %c%s\n", toupper((unsigned char)message->remedy[0]), message->remedy + 1);
    return (int)message->status;
}
