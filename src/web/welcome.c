#include "web/welcome.h"

#include "web/qr.h"

#include <unistd.h>

enum { ADDRESSES = 8 };

static void add_shared(const struct http_server *server, struct door *door, bool quiet, struct text *text)
{
    char addresses[ADDRESSES][ADDRESS], reader[DOOR_CODE], operator[DOOR_CODE], link[ADDRESS + 64];
    size_t count = http_addresses(server, addresses, ADDRESSES);
    for (size_t k = 0; k < count; k++)
        text_addf(text, "http://%s:%d/\n", addresses[k], http_port(server));
    door_code(door, HTTP_READER, reader);
    door_code(door, HTTP_OPERATOR, operator);
    text_addf(text, "code to read:    %s\ncode to operate: %s\n", reader, operator);
    if (quiet)
        return;
    if (count == 0)
        text_add(text, "This machine has no address on a local network yet.\n");
    text_add(text, "The line is not encrypted: share the book on a network you trust.\n");
    if (count == 0 || isatty(STDOUT_FILENO) != 1)
        return;
    snprintf(link, sizeof link, "http://%s:%d/pair#%s", addresses[0], http_port(server), operator);
    text_add(text, "\nTo operate from a phone, scan this:\n\n");
    qr_add_blocks(link, text);
}

void welcome(const char *book, const struct http_server *server, struct door *door, bool share, bool quiet)
{
    struct text text = TEXT_EMPTY;
    text_addf(&text, "http://127.0.0.1:%d/\n", http_port(server));
    if (share)
        add_shared(server, door, quiet, &text);
    if (!quiet)
        text_addf(&text, "%s is open to browsers at %s address%s. Ctrl-C ends it.\n", book, share ? "these" : "this",
                  share ? "es" : "");
    fputs(text_string(&text), stdout);
    fflush(stdout);
    text_free(&text);
}
