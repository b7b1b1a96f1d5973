/* Lines: an instrument, or a program, that prints a line of text a reading. line_form.h tells how one is read.
 *
 * Nobody knows whether the first line from a serial line or a socket is whole, so that it is passed over; of
 * standard input and of a file only a header is. The driver `file` is the same for a file that another program
 * writes: it goes on from its end, or with `start = beginning` from its start, and then the rows must bring their
 * own time, since the clock knows nothing of when they were written. */
#include "instrument/drivers.h"

#include "base/memory.h"
#include "base/nearest.h"
#include "instrument/line_form.h"
#include "instrument/transport.h"

struct lines {
    const struct link *link;
    const struct clock *clock;
    struct address address;
    struct line_form *form;
    struct transport *transport; /* NULL while not connected */
    bool from_start;             /* of a file */
    bool whole;                  /* what comes next begins a line */
    bool begun;                  /* the first line is over */
};

static void free_lines(void *state)
{
    struct lines *lines = state;
    line_form_free(lines->form);
    transport_close(lines->transport);
    free(lines);
}

static enum status read_start(struct lines *lines, struct message *message)
{
    static const char *const words[] = {"end", "beginning", NULL};
    const struct link_setting *start = link_setting(lines->link, "start", NULL);
    int word = start != NULL ? name_find(span_of(start->value), words) : 0;
    lines->from_start = word == 1;
    if (word < 0) {
        link_fault(lines->link, start, NULL, message, "`%s` is neither the file's `beginning` nor its `end`",
                   start->value);
        return status_remedy(message, "write `start = beginning`, or take the line away");
    }
    if (lines->from_start && !lines->link->own_time) {
        link_fault(lines->link, start, NULL, message, "rows that were written before need their own time");
        return status_remedy(message,
                             "write `time from = …`, or take `start` away to begin with the next row");
    }
    return STATUS_OK;
}

static enum status prepare(const struct link *link, const struct clock *clock, unsigned kinds,
                           void **ret_state, struct message *message)
{
    struct lines *lines = memory_get(sizeof *lines);
    lines->link = link;
    lines->clock = clock;
    enum status status = address_read(link, kinds, 0, &lines->address, message);
    if (status == STATUS_OK)
        status = line_form_new(link, &lines->form, message);
    if (status == STATUS_OK)
        status = read_start(lines, message);
    if (status != STATUS_OK) {
        free_lines(lines);
        return status;
    }
    *ret_state = lines;
    return STATUS_OK;
}

static enum status prepare_lines(const struct link *link, const struct clock *clock, void **ret_state,
                                 struct message *message)
{
    return prepare(link, clock, 1U << ADDRESS_TCP | 1U << ADDRESS_SERIAL | 1U << ADDRESS_STDIN, ret_state,
                   message);
}

static enum status prepare_file(const struct link *link, const struct clock *clock, void **ret_state,
                                struct message *message)
{
    return prepare(link, clock, 1U << ADDRESS_PATH, ret_state, message);
}

static enum status connect_lines(void *state, char *ret_identity, struct message *message)
{
    struct lines *lines = state;
    ret_identity[0] = '\0';
    enum status status =
        transport_open(&lines->address, lines->clock, lines->link->timeout_s, &lines->transport, message);
    if (status != STATUS_OK) {
        lines->from_start |= lines->address.kind == ADDRESS_PATH; /* all that it will hold is new */
        return status;
    }
    const struct link_setting *setup = NULL;
    while (status == STATUS_OK && (setup = link_setting(lines->link, "setup", setup)) != NULL) {
        char line[256];
        snprintf(line, sizeof line, "%s\n", setup->value);
        status = transport_send(lines->transport, span_of(line), message);
    }
    lines->whole = lines->address.kind == ADDRESS_STDIN || lines->from_start;
    if (lines->address.kind == ADDRESS_PATH && !lines->from_start)
        lines->whole = transport_discard(lines->transport);
    lines->begun = false;
    line_form_forget(lines->form);
    return status;
}

static enum heard judge(struct lines *lines, struct span line, const struct line_time *time,
                        struct arrival *ret_arrival, struct message *message)
{
    bool first = !lines->begun;
    lines->begun = true;
    if (first && !lines->whole)
        return HEARD_NOTHING;
    if (!line_form_read(lines->form, line, ret_arrival, message))
        return first ? HEARD_NOTHING : HEARD_GARBAGE;
    ret_arrival->at_ns = time->complete_ns;
    ret_arrival->within_ns = (time->complete_ns - time->first_ns) / 2;
    return HEARD_READING;
}

static enum heard hear(void *state, double timeout_s, struct arrival *ret_arrival, struct message *message)
{
    struct lines *lines = state;
    struct span line;
    struct line_time time;
    switch (transport_line(lines->transport, timeout_s, &line, &time, message)) {
    case GOT_LINE: return judge(lines, line, &time, ret_arrival, message);
    case GOT_NOTHING: return HEARD_NOTHING;
    case GOT_LONG:
        status_fail(message, STATUS_MALFORMED, "a line longer than %d bytes", TRANSPORT_LINE);
        break;
    case GOT_HALF: status_fail(message, STATUS_MALFORMED, "a line that broke off"); break;
    case GOT_END: return HEARD_END;
    case GOT_LOST: return HEARD_LOST;
    }
    return HEARD_GARBAGE;
}

static void disconnect(void *state)
{
    struct lines *lines = state;
    transport_close(lines->transport);
    lines->transport = NULL;
}

const struct driver lines_driver = {
    "lines",       "a line of text a reading, from a serial line, a socket or standard input",
    prepare_lines, connect_lines,
    hear,          disconnect,
    free_lines,
};

const struct driver file_driver = {
    "file",     "rows that another program adds to a file", prepare_file, connect_lines, hear, disconnect,
    free_lines,
};
