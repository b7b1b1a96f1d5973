#include "cli/commands.h"

#include "base/memory.h"
#include "base/number.h"
#include "intake/rig_file.h"
#include "intake/rig_links.h"
#include "report/instruments_text.h"

#include <unistd.h>

const char instruments_about[] =
    "probe: tries every instrument of a rig file at once, and shows for each channel a reading with what the rig's\n"
    "accuracy means there, and its noise over ten seconds; for an instrument that does not answer, why and what to do.\n"
    "list: shows the serial lines and USBTMC devices that are plugged in, as a rig file names them, and the drivers.\n\n"
    "  rundown instruments list\n"
    "  rundown instruments probe bench.rig\n"
    "  rundown instruments probe bench.rig --seconds 60\n\n"
    "docs/instruments.md shows how a rig file names an instrument.";

enum { OPT_SECONDS, OPT_JSON };

const struct option_spec instruments_options[] = {
    [OPT_SECONDS] = {"seconds", "N", "how long probe listens; 10 unless stated"},
    [OPT_JSON] = {"json", NULL, "print it as JSON"},
    {NULL, NULL, NULL},
};

struct arguments {
    const char *action, *rig;
    double seconds;
    bool json;
};

static enum status take_word(struct arguments *a, const char *word, struct message *message)
{
    if (a->action == NULL) {
        a->action = word;
        if (strcmp(word, "probe") == 0 || strcmp(word, "list") == 0)
            return STATUS_OK;
        status_fail(message, STATUS_USAGE, "instruments cannot '%s'", word);
        return status_remedy(message, "write `rundown instruments probe RIG` or `rundown instruments list`");
    }
    if (a->rig == NULL && strcmp(a->action, "probe") == 0) {
        a->rig = word;
        return STATUS_OK;
    }
    status_fail(message, STATUS_USAGE, "instruments %s takes no further word '%s'", a->action, word);
    return status_remedy(message, "see `rundown instruments --help`");
}

static enum status parse(int argc, char **argv, struct arguments *a, struct message *message)
{
    struct option_walk walk = {.argc = argc, .argv = argv, .options = instruments_options};
    const char *value = NULL;
    enum status status = STATUS_OK;
    for (int k; status == STATUS_OK && (k = option_next(&walk, &value, message)) != OPTION_END;) {
        if (k == OPTION_FAULT)
            return message->status;
        if (k == OPTION_WORD)
            status = take_word(a, value, message);
        else if (k == OPT_JSON)
            a->json = true;
        else if (!number_is(span_of(value), '.', &a->seconds) ||
                 !(a->seconds >= 0.1 && a->seconds <= 86400)) {
            status_fail(message, STATUS_USAGE, "--seconds cannot use '%s'", value);
            status = status_remedy(message, "give a number from 0.1 to 86400");
        }
    }
    if (status != STATUS_OK || (a->action != NULL && (strcmp(a->action, "list") == 0 || a->rig != NULL)))
        return status;
    status_fail(message, STATUS_USAGE,
                a->action == NULL ? "what is to be done with the instruments?" : "probe needs a rig file");
    return status_remedy(message, "write `rundown instruments probe RIG` or `rundown instruments list`");
}

static int list(bool json)
{
    struct devices devices;
    struct text text = TEXT_EMPTY;
    devices_find("", &devices);
    (json ? instruments_list_json : instruments_list_words)(&devices, drivers, &text);
    fputs(text_string(&text), stdout);
    text_free(&text);
    devices_free(&devices);
    return STATUS_OK;
}

/* Whether every channel gave a value and nothing went wrong. */
static bool all_well(const struct probe *probes, size_t count)
{
    for (size_t k = 0; k < count; k++) {
        if (probes[k].fault.status != STATUS_OK)
            return false;
        for (int c = 0; c < probes[k].link->channel_count; c++)
            if (probes[k].channels[c].count == 0)
                return false;
    }
    return true;
}

static enum status listen(const struct arguments *a, const struct rig *rig, const struct links *links,
                          bool *ret_well, struct message *message)
{
    struct clock_paced paced;
    struct clock clock = links->clock_rate != 1 ? clock_at_rate(&paced, links->clock_rate) : clock_machine();
    struct probe *probes = memory_get(links->count * sizeof *probes);
    if (!a->json && isatty(STDERR_FILENO))
        fprintf(stderr, "listening for %g s …\n", a->seconds);
    enum status status = probe_all(links, drivers, &clock, a->seconds * clock.rate, NULL, probes, message);
    if (status == STATUS_OK) {
        struct text text = TEXT_EMPTY;
        (a->json ? instruments_probe_json : instruments_probe_words)(rig, probes, links->count, &text);
        fputs(text_string(&text), stdout);
        text_free(&text);
        *ret_well = all_well(probes, links->count);
    }
    free(probes);
    return status;
}

static enum status probe(const struct arguments *a, bool *ret_well, struct message *message)
{
    struct rig rig = rig_default();
    struct notices notices = {0};
    struct links links = {0};
    enum status status = rig_read(a->rig, &rig, &notices, message);
    if (status == STATUS_OK)
        status = rig_links_read(a->rig, &links, message);
    if (status == STATUS_OK && links.count == 0) {
        status_fail(message, STATUS_MALFORMED, "this rig file names no instrument");
        status_at(message, a->rig, 0, 0);
        status = status_remedy(message,
                               "add a section with `driver`, `address` and lines such as `voltage from = …` "
                               "(docs/instruments.md)");
    }
    for (size_t k = 0; k < notices.count && status == STATUS_OK; k++)
        fprintf(stderr, "%s\n", notices.items[k].text);
    if (status == STATUS_OK)
        status = listen(a, &rig, &links, ret_well, message);
    links_free(&links);
    notices_free(&notices);
    return status;
}

int instruments_run(int argc, char **argv)
{
    struct arguments a = {.seconds = 10};
    struct message message;
    bool well = true;
    if (parse(argc, argv, &a, &message) != STATUS_OK)
        return cli_fail(&message);
    if (a.rig == NULL)
        return list(a.json);
    if (probe(&a, &well, &message) != STATUS_OK)
        return cli_fail(&message);
    return well ? STATUS_OK : STATUS_UNREADABLE;
}
