/* SCPI: instruments that take commands as text, over a socket, a serial line or a USBTMC device file.
 *
 *     driver   = scpi
 *     address  = tcp 192.168.7.21:5025
 *     identify = *IDN?               `no`: it is not asked who it is
 *     setup    = CONF:VOLT:DC 100    as many as needed, in their order
 *     errors   = SYST:ERR?           `no`: it keeps no error queue
 *     query    = READ?               one for several channels
 *     voltage from = field 1         of the answer to `query`
 *     current from = MEAS:CURR?      a query of its own
 *     power   from = FETC? field 3
 *
 * Each query is asked once a poll, however many channels it serves; the instant of a reading is the middle of all
 * of them. A query that is not answered ends the connection unless the instrument's error queue says why, since
 * the answer might come later and be taken for another's. */
#include "instrument/drivers.h"

#include "base/memory.h"
#include "base/nearest.h"
#include "base/number.h"
#include "instrument/field.h"
#include "instrument/scpi_text.h"
#include "instrument/transport.h"

#include <ctype.h>

enum { SOURCES = LINK_CHANNELS + 1, QUERY = 160, ANSWER = 256, ERRORS = 32 };

struct source {
    int query, field; /* field from 0 */
    const struct link_channel *channel;
};

struct scpi {
    const struct link *link;
    const struct clock *clock;
    struct address address;
    struct transport *transport;         /* NULL while not connected */
    const char *identify, *errors, *end; /* NULL: not asked */
    char queries[SOURCES][QUERY];
    int query_count;
    struct source sources[SOURCES]; /* the last is the time's, when link.own_time */
    int source_count;
    int64_t due_ns;
    /* the poll under way */
    int asked; /* the query that waits for its answer; -1: none */
    int64_t began_ns, asked_ns;
    struct arrival arrival;
};

static int64_t now_ns(const struct scpi *scpi)
{
    return scpi->clock->now_ns(scpi->clock->context);
}

/* Takes `field N` off the end; 1 when there is none. */
static int take_field(struct span *text)
{
    size_t at = text->n, word;
    double number;
    while (at > 0 && !isspace((unsigned char)text->p[at - 1]))
        at--;
    word = at;
    while (word > 0 && isspace((unsigned char)text->p[word - 1]))
        word--;
    struct span before = {text->p, word};
    bool is_field = word >= 5 && span_is_word((struct span){text->p + word - 5, 5}, "field") &&
                    (word == 5 || isspace((unsigned char)text->p[word - 6]));
    if (!is_field || !number_is((struct span){text->p + at, text->n - at}, '.', &number) || !(number >= 1) ||
        number > SCPI_FIELDS || number != floor(number))
        return 1;
    before.n -= 5;
    *text = span_trim(before);
    return (int)number;
}

static int add_query(struct scpi *scpi, struct span query)
{
    for (int k = 0; k < scpi->query_count; k++)
        if (span_is(query, scpi->queries[k]))
            return k;
    span_copy(query, scpi->queries[scpi->query_count], QUERY);
    return scpi->query_count++;
}

static enum status read_source(struct scpi *scpi, const struct link_channel *channel, struct message *message)
{
    const struct link_setting *shared = link_setting(scpi->link, "query", NULL);
    struct span query = span_of(channel->source);
    int field = take_field(&query);
    const char *wrong = NULL, *remedy = "write `field 2` and a `query`, or a query such as `MEAS:VOLT?`";
    if (query.n == 0 && shared == NULL)
        wrong = "there is no `query = …` whose field this could be";
    else if (query.n > 0 && memchr(query.p, '?', query.n) == NULL)
        wrong = "this is no query: it has no question mark";
    if (query.n == 0 && shared != NULL) {
        query = span_trim(span_of(shared->value));
        if (query.n >= QUERY || memchr(query.p, '?', query.n) == NULL) {
            link_fault(scpi->link, shared, NULL, message, "this is no query, or too long a one");
            return status_remedy(message, "write one that the instrument answers, as in `query = READ?`");
        }
    }
    if (wrong != NULL) {
        link_fault(scpi->link, NULL, channel, message, "%s", wrong);
        return status_remedy(message, "%s", remedy);
    }
    scpi->sources[scpi->source_count++] =
        (struct source){.query = add_query(scpi, query), .field = field - 1, .channel = channel};
    return STATUS_OK;
}

/* A query that may be turned off with `no`. */
static const char *query_or_no(const struct link *link, const char *key, const char *usual)
{
    static const char *const no[] = {"no", "off", "none", NULL};
    const struct link_setting *setting = link_setting(link, key, NULL);
    if (setting == NULL)
        return usual;
    return name_find(span_of(setting->value), no) >= 0 ? NULL : setting->value;
}

static enum status read_end(struct scpi *scpi, struct message *message)
{
    static const char *const words[] = {"lf", "crlf", "cr", NULL};
    static const char *const ends[] = {"\n", "\r\n", "\r"};
    const struct link_setting *setting = link_setting(scpi->link, "end", NULL);
    int word = setting != NULL ? name_find(span_of(setting->value), words) : 0;
    if (word < 0) {
        link_fault(scpi->link, setting, NULL, message, "`%s` ends no command", setting->value);
        return status_remedy(message, "write `end = lf`, `crlf` or `cr`");
    }
    scpi->end = ends[word];
    return STATUS_OK;
}

static void free_scpi(void *state)
{
    struct scpi *scpi = state;
    transport_close(scpi->transport);
    free(scpi);
}

static enum status prepare(const struct link *link, const struct clock *clock, void **ret_state,
                           struct message *message)
{
    struct scpi *scpi = memory_get(sizeof *scpi);
    *scpi = (struct scpi){.link = link, .clock = clock, .asked = -1};
    scpi->identify = query_or_no(link, "identify", "*IDN?");
    scpi->errors = query_or_no(link, "errors", "SYST:ERR?");
    enum status status = address_read(link, 1U << ADDRESS_TCP | 1U << ADDRESS_SERIAL | 1U << ADDRESS_USBTMC,
                                      5025, &scpi->address, message);
    if (status == STATUS_OK)
        status = read_end(scpi, message);
    if (status == STATUS_OK && link->channel_count == 0) {
        link_fault(link, NULL, NULL, message, "[%s] says not what to ask for", link->name);
        status = status_remedy(message, "write for instance `voltage from = MEAS:VOLT?`");
    }
    for (int k = 0; k < link->channel_count && status == STATUS_OK; k++)
        status = read_source(scpi, &link->channels[k], message);
    if (status == STATUS_OK && link->own_time)
        status = read_source(scpi, &link->time_source, message);
    if (status != STATUS_OK) {
        free_scpi(scpi);
        return status;
    }
    *ret_state = scpi;
    return STATUS_OK;
}

static enum status send(struct scpi *scpi, const char *command, struct message *message)
{
    char line[1100];
    int n = snprintf(line, sizeof line, "%s%s", command, scpi->end);
    return transport_send(scpi->transport, (struct span){line, (size_t)n}, message);
}

/* The answer to one query, within the link's timeout; STATUS_UNREADABLE when there is none. */
static enum status ask(struct scpi *scpi, const char *query, char answer[static ANSWER],
                       struct message *message)
{
    struct span line;
    struct line_time time;
    enum status status = send(scpi, query, message);
    if (status != STATUS_OK)
        return status;
    int64_t until_ns = now_ns(scpi) + (int64_t)(scpi->link->timeout_s * 1e9);
    for (;;) {
        double left_s = (double)(until_ns - now_ns(scpi)) * 1e-9;
        switch (transport_line(scpi->transport, left_s, &line, &time, message)) {
        case GOT_LINE: span_copy(line, answer, ANSWER); return STATUS_OK;
        case GOT_NOTHING:
            return status_fail(message, STATUS_UNREADABLE, "no answer to `%s` in %.3g s", query,
                               scpi->link->timeout_s);
        case GOT_END:
        case GOT_LOST: return STATUS_UNREADABLE;
        case GOT_LONG:
        case GOT_HALF: break; /* what went before the answer */
        }
    }
}

/* The oldest entry of the error queue; 0 when it is empty. */
static enum status ask_error(struct scpi *scpi, int *ret_number, char answer[static ANSWER],
                             struct message *message)
{
    enum status status = ask(scpi, scpi->errors, answer, message);
    if (status != STATUS_OK)
        return status;
    if (!scpi_error_read(span_of(answer), ret_number)) {
        char shown[FIELD_SHOWN];
        field_show(span_of(answer), shown);
        return status_fail(message, STATUS_MALFORMED, "`%s` is no answer to `%s`", shown, scpi->errors);
    }
    return STATUS_OK;
}

/* A number is what was left of an earlier connection, and no name. */
static enum status identify(struct scpi *scpi, char *ret_identity, struct message *message)
{
    char answer[ANSWER];
    enum status status = ask(scpi, scpi->identify, answer, message);
    if (status != STATUS_OK)
        return status_remedy(message, "write `identify = no` if it cannot say who it is");
    struct span line, fields[SCPI_FIELDS];
    struct line_time time;
    double number;
    while (status == STATUS_OK && scpi_fields(span_of(answer), fields) > 0 &&
           number_is(fields[0], '.', &number)) {
        if (transport_line(scpi->transport, scpi->link->timeout_s, &line, &time, message) != GOT_LINE)
            return status_fail(message, STATUS_UNREADABLE, "`%s` is no name of an instrument", answer);
        span_copy(line, answer, ANSWER);
    }
    if (status == STATUS_OK)
        span_copy(span_trim(span_of(answer)), ret_identity, 128);
    return status;
}

static enum status set_up(struct scpi *scpi, struct message *message)
{
    const struct link_setting *setup = NULL;
    enum status status = STATUS_OK;
    char answer[ANSWER];
    int number = 0;
    while (status == STATUS_OK && (setup = link_setting(scpi->link, "setup", setup)) != NULL) {
        status = send(scpi, setup->value, message);
        if (status == STATUS_OK && scpi->errors != NULL)
            status = ask_error(scpi, &number, answer, message);
        if (status == STATUS_OK && number != 0) {
            link_fault(scpi->link, setup, NULL, message, "`%s` was refused: %s", setup->value, answer);
            return status_remedy(message, "look the command up in the instrument's manual");
        }
    }
    return status;
}

static enum status connect_scpi(void *state, char *ret_identity, struct message *message)
{
    struct scpi *scpi = state;
    ret_identity[0] = '\0';
    enum status status =
        transport_open(&scpi->address, scpi->clock, scpi->link->timeout_s, &scpi->transport, message);
    if (status != STATUS_OK)
        return status;
    transport_discard(scpi->transport);
    if (scpi->errors != NULL)
        status = send(scpi, "*CLS", message);
    if (status == STATUS_OK && scpi->identify != NULL)
        status = identify(scpi, ret_identity, message);
    if (status == STATUS_OK)
        status = set_up(scpi, message);
    scpi->asked = -1;
    scpi->due_ns = now_ns(scpi);
    if (status != STATUS_OK) {
        transport_close(scpi->transport);
        scpi->transport = NULL;
    }
    return status;
}

static void disconnect(void *state)
{
    struct scpi *scpi = state;
    transport_close(scpi->transport);
    scpi->transport = NULL;
}

/* What the error queue adds to a message; false when it does not answer, or has nothing to say. */
static bool add_error(struct scpi *scpi, struct message *message)
{
    char answer[ANSWER], said[300];
    int number;
    if (scpi->errors == NULL || ask_error(scpi, &number, answer, NULL) != STATUS_OK || number == 0)
        return false;
    snprintf(said, sizeof said, "%.200s; the instrument says %s", message->what, answer);
    status_fail(message, STATUS_MALFORMED, "%s", said);
    for (int k = 0; k < ERRORS && number != 0 && ask_error(scpi, &number, answer, NULL) == STATUS_OK; k++)
        ; /* so that the next fault finds its own */
    return true;
}

static enum heard garbage(struct scpi *scpi, struct message *message)
{
    scpi->asked = -1;
    transport_discard(scpi->transport);
    add_error(scpi, message);
    return HEARD_GARBAGE;
}

static enum heard unanswered(struct scpi *scpi, struct message *message)
{
    status_fail(message, STATUS_UNREADABLE, "no answer to `%s` in %.3g s", scpi->queries[scpi->asked],
                scpi->link->timeout_s);
    scpi->asked = -1;
    return add_error(scpi, message) ? HEARD_GARBAGE : HEARD_LOST;
}

/* The answer to the query that was asked; false when it is no reading. */
static bool take_answer(struct scpi *scpi, struct span line, struct message *message)
{
    struct span fields[SCPI_FIELDS];
    struct message why = {0};
    int count = scpi_fields(line, fields);
    for (int k = 0; k < scpi->source_count; k++) {
        const struct source *source = &scpi->sources[k];
        struct decimal *cell = k < scpi->link->channel_count ? &scpi->arrival.cells[k] : &scpi->arrival.time;
        if (source->query != scpi->asked)
            continue;
        if (source->field >= count)
            status_fail(&why, STATUS_MALFORMED, "%d fields where %d are needed", count, source->field + 1);
        else if (field_read(fields[source->field], source->channel, '.', cell, scpi->arrival.odd, &why))
            continue;
        char shown[FIELD_SHOWN];
        field_show(line, shown);
        status_fail(message, STATUS_MALFORMED, "no reading from `%s`: `%s`: %s", scpi->queries[scpi->asked],
                    shown, why.what);
        return false;
    }
    return true;
}

static bool ask_next(struct scpi *scpi, struct message *message)
{
    scpi->asked_ns = now_ns(scpi);
    return send(scpi, scpi->queries[scpi->asked], message) == STATUS_OK;
}

static enum heard finish(struct scpi *scpi, struct arrival *ret_arrival, struct message *message)
{
    int64_t ended_ns = now_ns(scpi);
    scpi->asked = -1;
    scpi->arrival.at_ns = scpi->began_ns + (ended_ns - scpi->began_ns) / 2;
    scpi->arrival.within_ns = (ended_ns - scpi->began_ns) / 2;
    for (int k = 0; k < scpi->link->channel_count; k++)
        if (scpi->arrival.cells[k].kind != DECIMAL_MISSING) {
            *ret_arrival = scpi->arrival;
            return HEARD_READING;
        }
    status_fail(message, STATUS_MALFORMED, "the instrument has no value for any channel");
    return HEARD_GARBAGE;
}

/* Begins a poll when it is due before `until_ns`. Beats that were missed are left out. */
static bool begin(struct scpi *scpi, int64_t until_ns)
{
    int64_t period_ns = (int64_t)(scpi->link->period_s * 1e9);
    int64_t wait_ns = scpi->due_ns < until_ns ? scpi->due_ns : until_ns;
    if (wait_ns > now_ns(scpi))
        scpi->clock->wait_ns(scpi->clock->context, wait_ns);
    int64_t now = now_ns(scpi);
    if (now < scpi->due_ns)
        return false;
    scpi->due_ns += period_ns > 0 ? period_ns * ((now - scpi->due_ns) / period_ns + 1) : now - scpi->due_ns;
    scpi->arrival = (struct arrival){0};
    scpi->began_ns = now;
    scpi->asked = 0;
    return true;
}

static enum heard hear(void *state, double timeout_s, struct arrival *ret_arrival, struct message *message)
{
    struct scpi *scpi = state;
    int64_t until_ns = now_ns(scpi) + (int64_t)(timeout_s * 1e9);
    struct span line;
    struct line_time time;
    if (scpi->asked < 0) {
        if (!begin(scpi, until_ns))
            return HEARD_NOTHING;
        if (!ask_next(scpi, message))
            return HEARD_LOST;
    }
    for (;;) {
        double left_s = (double)(until_ns - now_ns(scpi)) * 1e-9;
        switch (transport_line(scpi->transport, left_s, &line, &time, message)) {
        case GOT_LINE:
            if (!take_answer(scpi, line, message))
                return garbage(scpi, message);
            if (++scpi->asked == scpi->query_count)
                return finish(scpi, ret_arrival, message);
            if (!ask_next(scpi, message))
                return HEARD_LOST;
            break;
        case GOT_NOTHING:
            if ((double)(now_ns(scpi) - scpi->asked_ns) * 1e-9 >= scpi->link->timeout_s)
                return unanswered(scpi, message);
            return HEARD_NOTHING;
        case GOT_LONG:
        case GOT_HALF:
            status_fail(message, STATUS_MALFORMED, "an answer without an end");
            return garbage(scpi, message);
        case GOT_END:
        case GOT_LOST: return HEARD_LOST;
        }
    }
}

const struct driver scpi_driver = {
    "scpi",    "commands as text (SCPI), over a socket, a serial line or a USBTMC device",
    prepare,   connect_scpi,
    hear,      disconnect,
    free_scpi,
};
