#include "intake/rig_links.h"

#include "base/memory.h"
#include "base/nearest.h"
#include "base/number.h"
#include "intake/accuracy_text.h"

#include <ctype.h>

static const char *const common[] = {"driver", "address", "period", "timeout"};
enum { COMMON = sizeof common / sizeof *common };
static const char rehearsal_rate[] = "rehearsal rate";

/* Periods and timeouts where none is stated: common practice, no source. */
static const double asked_period_s = 1, asked_timeout_s = 2, unasked_timeout_s = 10;
static const double machine_timeout_s = 0.1; /* the least for a rehearsal faster than life */

/* Blanks, `_` and `-` made one blank, ASCII letters small. */
static void make_even(struct span name, char *buffer, size_t size)
{
    size_t n = 0;
    bool gap = false;
    name = span_trim(name);
    for (size_t k = 0; k < name.n && n + 2 < size; k++) {
        char c = name.p[k];
        if (c == ' ' || c == '\t' || c == '_' || c == '-') {
            gap = true;
            continue;
        }
        if (gap)
            buffer[n++] = ' ';
        gap = false;
        buffer[n++] = (char)tolower((unsigned char)c);
    }
    buffer[n] = '\0';
}

/* `voltage` of `voltage from`; false when the key does not end so. */
static bool before_from(const char *key, char *name, size_t size)
{
    char even[64];
    make_even(span_of(key), even, sizeof even);
    size_t n = strlen(even);
    if (n <= 5 || !span_is(span_of(even + n - 5), " from"))
        return false;
    span_copy((struct span){even, n - 5}, name, size);
    return true;
}

static const char *driver_of(const struct ini *ini, const char *section)
{
    const struct ini_entry *entry = ini_next(ini, section, "driver", NULL);
    return entry != NULL ? entry->value : NULL;
}

size_t rig_links_keys(const struct ini *ini, const char *section, const char *known[static RIG_LINKS_KEYS])
{
    const char *driver = driver_of(ini, section);
    size_t n = 0;
    if (driver == NULL)
        return 0;
    for (size_t k = 0; k < COMMON; k++)
        known[n++] = common[k];
    const char *const *keys = link_keys(driver, NULL);
    for (size_t k = 0; keys != NULL && keys[k] != NULL && n < RIG_LINKS_KEYS; k++)
        known[n++] = keys[k];
    return n;
}

static bool is_rate(const struct ini_entry *entry)
{
    return entry->section[0] == '\0' && name_alike(span_of(entry->key), rehearsal_rate);
}

bool rig_links_own(const struct ini *ini, const struct ini_entry *entry)
{
    const char *known[RIG_LINKS_KEYS];
    char name[64];
    size_t n = rig_links_keys(ini, entry->section, known);
    for (size_t k = 0; k < n; k++)
        if (name_alike(span_of(entry->key), known[k]))
            return true;
    return is_rate(entry) || (n > 0 && before_from(entry->key, name, sizeof name));
}

/* The channel that a name means, and its quantity; false for none. `cell 3 voltage` and `QUANTITY of NAME`
 * are channels beside those of the analysis. */
static bool know_channel(const char *name, enum channel *ret_channel, enum quantity *ret_quantity)
{
    for (int c = 0; c < CHANNELS; c++) {
        const char *known = channel_name((enum channel)c);
        size_t n = strlen(known);
        bool same = name_alike(span_of(name), known);
        if (same ||
            (strncmp(name, known, n) == 0 && strncmp(name + n, " of ", 4) == 0 && name[n + 4] != '\0')) {
            *ret_channel = same ? (enum channel)c : CHANNELS;
            *ret_quantity = channel_quantity((enum channel)c);
            return true;
        }
    }
    if (name_alike(span_of(name), "ambient")) {
        *ret_channel = CHANNEL_AMBIENT, *ret_quantity = QUANTITY_TEMPERATURE;
        return true;
    }
    size_t digits = strncmp(name, "cell ", 5) == 0 ? strspn(name + 5, "0123456789") : 0;
    *ret_channel = CHANNELS, *ret_quantity = QUANTITY_VOLTAGE;
    return digits > 0 && digits <= 3 && strcmp(name + 5 + digits, " voltage") == 0;
}

static enum status unknown_channel(const struct ini *ini, const struct ini_entry *entry, const char *name,
                                   struct message *message)
{
    const char *known[CHANNELS + 4];
    size_t n = 0;
    for (int c = 0; c < CHANNELS; c++)
        known[n++] = channel_name((enum channel)c);
    known[n++] = "ambient", known[n++] = "time", known[n++] = "cell 1 voltage", known[n] = NULL;
    const char *near = name_nearest(span_of(name), known);
    ini_fault(ini, entry, 0, message, "there is no channel `%s`", name);
    if (near != NULL)
        return status_remedy(message, "`%s from` was meant, perhaps", near);
    return status_remedy(message,
                         "channels are voltage, current, power, temperature, ambient temperature, charge "
                         "tally, energy tally; `cell 3 voltage`, and `temperature of NAME` or the like "
                         "for any other");
}

/* What stands after the source, taken off word by word from the end. */
struct suffix {
    bool reversed, timed, shifted;
    double times, plus;
    struct unit unit; /* QUANTITY_NONE: none stated */
    struct span symbol;
};

/* The last `count` words, and where they begin; false when there are not so many before something. */
static bool last_words(struct span text, int count, size_t *ret_at)
{
    size_t at = text.n;
    for (int k = 0; k < count; k++) {
        while (at > 0 && !isspace((unsigned char)text.p[at - 1]))
            at--;
        *ret_at = at;
        while (at > 0 && isspace((unsigned char)text.p[at - 1]))
            at--;
        if (at == 0)
            return false;
    }
    return true;
}

/* `times 0.1`, `plus -40`: the word and its number. */
static bool take_number(struct span *text, const char *word, bool *taken, double *ret_value)
{
    size_t at, value_at;
    if (*taken || !last_words(*text, 2, &at) || !last_words(*text, 1, &value_at))
        return false;
    struct span first = span_trim((struct span){text->p + at, value_at - at});
    double value;
    if (!span_is_word(first, word) ||
        !number_is((struct span){text->p + value_at, text->n - value_at}, '.', &value))
        return false;
    *ret_value = value;
    *taken = true;
    *text = span_trim((struct span){text->p, at});
    return true;
}

/* `in mV`, `in A h`: up to three words from the end. `*ret_odd` is a word after `in` that is no unit. */
static bool take_unit(struct span *text, struct suffix *suffix, struct span *ret_odd)
{
    size_t at;
    for (int words = 2; words <= 3 && suffix->symbol.n == 0 && last_words(*text, words, &at); words++) {
        struct span both = {text->p + at, text->n - at};
        if (both.n < 3 || !span_is_word((struct span){both.p, 2}, "in") || !isspace((unsigned char)both.p[2]))
            continue;
        struct span symbol = span_trim((struct span){both.p + 2, both.n - 2});
        if (!unit_find(symbol, &suffix->unit)) {
            *ret_odd = symbol;
            return false;
        }
        suffix->symbol = symbol;
        *text = span_trim((struct span){text->p, at});
        return true;
    }
    return false;
}

static struct span take_suffix(struct span text, struct suffix *suffix, struct span *ret_odd)
{
    *suffix = (struct suffix){.times = 1};
    for (bool more = true; more;) {
        size_t at;
        bool reversed = !suffix->reversed && last_words(text, 1, &at) &&
                        span_is_word((struct span){text.p + at, text.n - at}, "reversed");
        if (reversed) {
            suffix->reversed = true;
            text = span_trim((struct span){text.p, at});
        }
        more = reversed || take_number(&text, "times", &suffix->timed, &suffix->times) ||
               take_number(&text, "plus", &suffix->shifted, &suffix->plus) ||
               take_unit(&text, suffix, ret_odd);
    }
    return text;
}

struct place {
    const struct ini *ini;
    const struct ini_entry *entry;
    struct message *message;
};

/* Volts of a current: the rig's shunt, as rated, makes amps of them. */
static enum status bring_by_shunt(struct place at, struct unit *unit)
{
    const struct ini_entry *entry;
    enum status status = ini_optional(at.ini, NULL, "shunt", &entry, at.message);
    struct shunt shunt = {NAN, NAN, NAN};
    if (status == STATUS_OK && entry != NULL)
        status = shunt_read(span_of(entry->value), &shunt, at.message);
    if (status != STATUS_OK)
        return entry == NULL ? status : status_at(at.message, at.ini->path, entry->line, entry->column);
    if (!(shunt.amps > 0 && shunt.volts > 0)) {
        ini_fault(at.ini, at.entry, 0, at.message,
                  "a current in volts needs the shunt that it was taken across");
        return status_remedy(at.message, "state it, as in `shunt = class 0.5, 500 A / 50 mV`");
    }
    unit->quantity = QUANTITY_CURRENT;
    unit->factor *= shunt.amps / shunt.volts;
    return STATUS_OK;
}

static enum status make_unit(struct place at, const struct suffix *suffix, struct link_channel *channel)
{
    struct unit unit = suffix->unit;
    enum status status = STATUS_OK;
    if (suffix->symbol.n == 0)
        unit = (struct unit){channel->quantity, 1, 0};
    span_copy(suffix->symbol.n > 0 ? suffix->symbol : span_of(quantity_symbol(channel->quantity)),
              channel->unit_symbol, sizeof channel->unit_symbol);
    if (channel->quantity == QUANTITY_CURRENT && unit.quantity == QUANTITY_VOLTAGE)
        status = bring_by_shunt(at, &unit);
    if (status != STATUS_OK)
        return status;
    if (unit.quantity != channel->quantity) {
        ini_fault(at.ini, at.entry, 0, at.message, "`%s` is no unit of %s", channel->unit_symbol,
                  quantity_name(channel->quantity));
        return status_remedy(at.message, "write `in %s`, or a multiple of it",
                             quantity_symbol(channel->quantity));
    }
    if (!(fabs(suffix->times) > 0) || !isfinite(suffix->times)) {
        ini_fault(at.ini, at.entry, 0, at.message, "`times %g` would leave nothing of the reading",
                  suffix->times);
        return status_remedy(at.message, "write the factor that brings it to %s", channel->unit_symbol);
    }
    channel->unit = (struct unit){unit.quantity, unit.factor * suffix->times * (suffix->reversed ? -1 : 1),
                                  (unit.shift + suffix->plus) / suffix->times};
    return STATUS_OK;
}

static enum status read_source(struct place at, struct link_channel *channel)
{
    struct suffix suffix;
    struct span odd = {NULL, 0}, source = take_suffix(span_trim(span_of(at.entry->value)), &suffix, &odd);
    if (odd.n > 0) {
        ini_fault(at.ini, at.entry, (size_t)(odd.p - at.entry->value), at.message, "`%.*s` is no unit",
                  (int)odd.n, odd.p);
        return status_remedy(at.message, "write `in %s`, or a multiple of it",
                             quantity_symbol(channel->quantity));
    }
    if (source.n == 0 || source.n >= sizeof channel->source) {
        ini_fault(at.ini, at.entry, 0, at.message,
                  source.n == 0 ? "where the %s comes from should stand here"
                                : "the source of the %s is too long",
                  channel->name);
        return status_remedy(at.message,
                             "docs/instruments.md shows what each driver takes, `field 2` for instance");
    }
    span_copy(source, channel->source, sizeof channel->source);
    channel->line = at.entry->line;
    channel->column = at.entry->column;
    return make_unit(at, &suffix, channel);
}

static enum status add_channel(struct place at, struct link *link, const char *name)
{
    struct link_channel channel = {.channel = CHANNELS};
    bool time = name_alike(span_of(name), "time");
    snprintf(channel.name, sizeof channel.name, "%s", name);
    if (time)
        channel.quantity = QUANTITY_TIME;
    else if (!know_channel(name, &channel.channel, &channel.quantity))
        return unknown_channel(at.ini, at.entry, name, at.message);
    if (channel.channel != CHANNELS)
        snprintf(channel.name, sizeof channel.name, "%s", channel_name(channel.channel));
    long before = time && link->own_time ? link->time_source.line : 0;
    for (int k = 0; k < link->channel_count; k++)
        if (strcmp(link->channels[k].name, channel.name) == 0)
            before = link->channels[k].line;
    if (before > 0) {
        ini_fault(at.ini, at.entry, 0, at.message,
                  "where the %s comes from is stated twice, here and in line %ld", channel.name, before);
        return status_remedy(at.message, "keep the one that holds");
    }
    if (!time && link->channel_count == LINK_CHANNELS) {
        ini_fault(at.ini, at.entry, 0, at.message, "more than %d channels of one instrument", LINK_CHANNELS);
        return status_remedy(at.message, "give the others to a second section of the same address");
    }
    enum status status = read_source(at, &channel);
    if (status != STATUS_OK)
        return status;
    link->own_time |= time;
    *(time ? &link->time_source : &link->channels[link->channel_count++]) = channel;
    return STATUS_OK;
}

static void add_setting(struct link *link, const struct ini_entry *entry)
{
    char key[64];
    make_even(span_of(entry->key), key, sizeof key);
    link->settings = memory_grow(link->settings, link->setting_count, &link->setting_capacity);
    link->settings[link->setting_count++] = (struct link_setting){
        memory_copy_string(key), memory_copy_string(entry->value), entry->line, entry->column};
}

/* The one entry of that key in the link's section. */
static enum status read_seconds(struct place at, const char *key, double least_s, double *ret_s)
{
    const struct ini_entry *entry;
    double seconds;
    enum status status = ini_optional(at.ini, at.entry->section, key, &entry, at.message);
    if (status != STATUS_OK || entry == NULL)
        return status;
    status = ini_quantity(at.ini, entry, QUANTITY_TIME, &seconds, NULL, at.message);
    if (status != STATUS_OK)
        return status;
    if (!(seconds >= least_s && seconds <= 1e6)) {
        ini_fault(at.ini, entry, 0, at.message, "a %s of %g s cannot be kept", key, seconds);
        return status_remedy(at.message, "write one from %g s to a million", least_s);
    }
    *ret_s = seconds;
    return STATUS_OK;
}

static enum status read_common(struct place at, struct link *link)
{
    const struct ini_entry *address;
    bool polled = false;
    link_keys(link->driver, &polled);
    link->period_s = polled ? asked_period_s : 0;
    link->timeout_s = polled ? asked_timeout_s : unasked_timeout_s;
    enum status status = read_seconds(at, "period", 0, &link->period_s);
    if (status == STATUS_OK)
        status = read_seconds(at, "timeout", 0.001, &link->timeout_s);
    if (status == STATUS_OK)
        status = ini_optional(at.ini, at.entry->section, "address", &address, at.message);
    if (status != STATUS_OK)
        return status;
    if (address != NULL && strlen(address->value) >= sizeof link->address) {
        ini_fault(at.ini, address, 0, at.message, "this address is longer than 255 bytes");
        return status_remedy(at.message, "shorten it");
    }
    if (address != NULL)
        snprintf(link->address, sizeof link->address, "%s", address->value);
    return STATUS_OK;
}

static bool is_common(const char *key)
{
    for (size_t k = 0; k < COMMON; k++)
        if (name_alike(span_of(key), common[k]))
            return true;
    return false;
}

/* The section around its `driver` entry. */
static enum status read_link(struct place at, struct link *link)
{
    const char *section = at.entry->section;
    int driver = name_find(span_of(at.entry->value), link_drivers);
    if (driver < 0) {
        const char *near = name_nearest(span_of(at.entry->value), link_drivers);
        char list[200];
        name_list(link_drivers, list, sizeof list);
        ini_fault(at.ini, at.entry, 0, at.message, "there is no driver `%s`", at.entry->value);
        return near != NULL ? status_remedy(at.message, "`%s` was meant, perhaps", near)
                            : status_remedy(at.message, "drivers are %s", list);
    }
    if (section[0] == '\0') {
        ini_fault(at.ini, at.entry, 0, at.message, "a driver belongs to an instrument");
        return status_remedy(at.message, "write a name above it, as in `[bench meter]`");
    }
    link->line = at.entry->line;
    snprintf(link->name, sizeof link->name, "%s", section);
    snprintf(link->file, sizeof link->file, "%s", at.ini->path);
    snprintf(link->driver, sizeof link->driver, "%s", link_drivers[driver]);
    enum status status = read_common(at, link);
    const struct ini_entry *entry = NULL;
    while (status == STATUS_OK && (entry = ini_next(at.ini, section, NULL, entry)) != NULL) {
        char name[64];
        if (!rig_links_own(at.ini, entry) || is_common(entry->key))
            continue;
        if (before_from(entry->key, name, sizeof name))
            status = add_channel((struct place){at.ini, entry, at.message}, link, name);
        else
            add_setting(link, entry);
    }
    return status;
}

static enum status read_rate(const struct ini *ini, double *ret_rate, struct message *message)
{
    const struct ini_entry *entry;
    enum status status = ini_optional(ini, "", rehearsal_rate, &entry, message);
    if (status != STATUS_OK || entry == NULL)
        return status;
    if (!number_is(span_of(entry->value), '.', ret_rate) || !(*ret_rate >= 1 && *ret_rate <= 100000)) {
        ini_fault(ini, entry, 0, message, "`%s` should say how many times faster than life", entry->value);
        return status_remedy(message, "write a number from 1 to 100000");
    }
    return STATUS_OK;
}

enum status rig_links_of(const struct ini *ini, struct links *ret_links, struct message *message)
{
    struct links links = {.clock_rate = 1};
    const struct ini_entry *entry = NULL;
    enum status status = read_rate(ini, &links.clock_rate, message);
    while (status == STATUS_OK && (entry = ini_next(ini, NULL, "driver", entry)) != NULL) {
        const struct ini_entry *only;
        status = ini_optional(ini, entry->section, "driver", &only, message);
        if (status != STATUS_OK)
            break;
        links.items = memory_grow(links.items, links.count, &links.capacity);
        struct link *link = &links.items[links.count++];
        *link = (struct link){0};
        status = read_link((struct place){ini, entry, message}, link);
        if (links.clock_rate > 1) /* its pace quickens the bench, not the machine between the two */
            link->timeout_s = fmax(link->timeout_s, machine_timeout_s * links.clock_rate);
    }
    if (status != STATUS_OK) {
        links_free(&links);
        return status;
    }
    *ret_links = links;
    return STATUS_OK;
}

enum status rig_links_read_text(const char *path, struct span text, struct links *ret_links,
                                struct message *message)
{
    struct ini ini;
    enum status status = ini_read_text(path, text, &ini, message);
    if (status != STATUS_OK)
        return status;
    status = rig_links_of(&ini, ret_links, message);
    ini_free(&ini);
    return status;
}

enum status rig_links_read(const char *path, struct links *ret_links, struct message *message)
{
    struct text text = TEXT_EMPTY;
    enum status status = ini_load(path, &text, message);
    if (status == STATUS_OK)
        status =
            rig_links_read_text(path, (struct span){text_string(&text), text.length}, ret_links, message);
    text_free(&text);
    return status;
}
