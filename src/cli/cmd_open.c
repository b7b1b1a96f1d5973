#include "cli/commands.h"

#include "base/number.h"

const char open_about[] =
    "Serves a book to browsers, until Ctrl-C: take in a sample, record or rehearse a test, see what the burst cost,\n"
    "decide the claims, publish. Nothing is fetched from elsewhere and nothing leaves this machine by itself.\n\n"
    "Without --share only this machine can come in, and everybody on it may change the book. With --share the local\n"
    "network can too: a phone or tablet shows one of the two codes that are printed, one to read and one to operate.\n"
    "The line is not encrypted; share on a network you trust.\n\n"
    "  rundown open workshop.book\n"
    "  rundown open workshop.book --share\n\n"
    "A book is served once: a second `open` names the address of the first.";

enum { OPT_SHARE, OPT_PORT, OPT_NO_BROWSER, OPT_QUIET };

const struct option_spec open_options[] = {
    [OPT_SHARE] = {"share", NULL, "serve to the local network too, with codes to come in"},
    [OPT_PORT] = {"port", "N", "listen on this port; 0 takes a free one. Without it a book has its usual one"},
    [OPT_NO_BROWSER] = {"no-browser", NULL, "open no browser, only print the address"},
    [OPT_QUIET] = {"quiet", NULL, "print the addresses and codes, nothing more"},
    {NULL, NULL, NULL},
};

static const struct cli_outside *outside_of_open;

void open_outside(const struct cli_outside *outside)
{
    outside_of_open = outside;
}

static enum status read_port(const char *text, int *ret_port, struct message *message)
{
    double port = NAN;
    if (!number_is(span_of(text), '.', &port) || !(port >= 0 && port <= 65535) || port != floor(port)) {
        status_fail(message, STATUS_USAGE, "'%s' is no port", text);
        return status_remedy(message, "a port is a whole number from 1 to 65535, or 0 for a free one");
    }
    *ret_port = (int)port;
    return STATUS_OK;
}

static enum status take_book(const char *word, struct cli_serving *serving, struct message *message)
{
    if (serving->book != NULL) {
        status_fail(message, STATUS_USAGE, "one book at a time is served; '%s' is a second", word);
        return status_remedy(message, "open it by a command of its own");
    }
    serving->book = word;
    return STATUS_OK;
}

int open_run(int argc, char **argv)
{
    struct option_walk walk = {.argc = argc, .argv = argv, .options = open_options};
    struct cli_serving serving = {.port = -1, .browser = true};
    struct message message;
    const char *value = NULL;
    enum status status = STATUS_OK;
    for (int k; status == STATUS_OK && (k = option_next(&walk, &value, &message)) != OPTION_END;) {
        switch (k) {
        case OPTION_FAULT: status = message.status; break;
        case OPTION_WORD: status = take_book(value, &serving, &message); break;
        case OPT_SHARE: serving.share = true; break;
        case OPT_PORT: status = read_port(value, &serving.port, &message); break;
        case OPT_QUIET: serving.quiet = true; break;
        default: serving.browser = false; break;
        }
    }
    if (status == STATUS_OK && serving.book == NULL) {
        status_fail(&message, STATUS_USAGE, "which book is to be opened?");
        status = status_remedy(&message, "write `rundown open BOOK`; `rundown book new BOOK` makes an empty one");
    }
    if (status == STATUS_OK)
        status = outside_of_open->serve(&serving, &message);
    return status == STATUS_OK ? STATUS_OK : cli_fail(&message);
}
