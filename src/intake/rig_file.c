#include "intake/rig_file.h"

#include "base/nearest.h"
#include "intake/accuracy_text.h"
#include "intake/amount.h"
#include "intake/ini.h"
#include "intake/rig_links.h"
#include "intake/timecode.h"

/* What is being read, and where each channel was first stated. */
struct reader {
    const struct ini *ini;
    struct rig rig;
    const struct ini_entry *accuracy_at[CHANNELS];
    struct shunt shunt; /* NaN where not stated */
    struct message *message;
};

static int channel_of(const char *name)
{
    for (int c = 0; c < CHANNELS; c++)
        if (name_alike(span_of(name), channel_name((enum channel)c)))
            return c;
    return name_alike(span_of(name), "ambient") ? CHANNEL_AMBIENT : -1;
}

/* A fault whose message holds a byte offset into the value is given its place. */
static enum status place(const struct reader *reader, const struct ini_entry *entry, enum status status)
{
    if (reader->message != NULL) {
        struct message kept = *reader->message;
        ini_fault(reader->ini, entry, (size_t)kept.column, reader->message, "%s", kept.what);
        status_remedy(reader->message, "%s", kept.remedy);
        reader->message->status = status;
    }
    return status;
}

/* A bound as an accuracy is printed, one term only: `±50 ppm` (as a ratio), `0.2 s`, `0.01 mV`. */
static enum status read_bound(struct reader *reader, const struct ini_entry *entry, enum quantity quantity,
                              double own_per_volt, double *ret_bound)
{
    struct accuracy accuracy = {0};
    bool ratio = quantity == QUANTITY_RATIO;
    enum status status =
        accuracy_read(span_of(entry->value), quantity, own_per_volt, &accuracy, reader->message);
    if (status != STATUS_OK)
        return place(reader, entry, status);
    if (accuracy.digits > 0 || (ratio ? accuracy.offset : accuracy.gain) > 0) {
        ini_fault(reader->ini, entry, 0, reader->message, "`%s` should be one %s", entry->value,
                  quantity_name(quantity));
        return status_remedy(reader->message, "write a number in %s",
                             ratio ? "% or ppm" : quantity_symbol(quantity));
    }
    *ret_bound = ratio ? accuracy.gain : accuracy.offset;
    return STATUS_OK;
}

static double amps_per_volt(const struct reader *reader, int channel)
{
    return channel == CHANNEL_CURRENT && reader->shunt.volts > 0 ? reader->shunt.amps / reader->shunt.volts
                                                                 : 0;
}

static enum status read_accuracy(struct reader *reader, const struct ini_entry *entry, int channel)
{
    const struct ini_entry *before = reader->accuracy_at[channel];
    if (before != NULL) {
        ini_fault(reader->ini, entry, 0, reader->message,
                  "the accuracy of the %s is stated twice, here and in line %ld",
                  channel_name((enum channel)channel), before->line);
        return status_remedy(reader->message, "keep the meter whose readings are in the log");
    }
    reader->accuracy_at[channel] = entry;
    enum status status =
        accuracy_read(span_of(entry->value), channel_quantity((enum channel)channel),
                      amps_per_volt(reader, channel), &reader->rig.of[channel], reader->message);
    return status == STATUS_OK ? STATUS_OK : place(reader, entry, status);
}

static enum status read_resolution(struct reader *reader, const struct ini_entry *entry, int channel)
{
    return read_bound(reader, entry, channel_quantity((enum channel)channel), amps_per_volt(reader, channel),
                      &reader->rig.of[channel].resolution);
}

static enum status read_name(struct reader *reader, const struct ini_entry *entry)
{
    span_copy(span_of(entry->value), reader->rig.name, sizeof reader->rig.name);
    return STATUS_OK;
}

static enum status read_clock(struct reader *reader, const struct ini_entry *entry)
{
    return read_bound(reader, entry, QUANTITY_RATIO, 0, &reader->rig.clock);
}

static enum status read_averaging(struct reader *reader, const struct ini_entry *entry)
{
    return read_bound(reader, entry, QUANTITY_TIME, 0, &reader->rig.averaging_s);
}

static enum status read_skew(struct reader *reader, const struct ini_entry *entry)
{
    return read_bound(reader, entry, QUANTITY_TIME, 0, &reader->rig.skew_s);
}

static enum status read_probe_lag(struct reader *reader, const struct ini_entry *entry)
{
    return read_bound(reader, entry, QUANTITY_TIME, 0, &reader->rig.probe_tau_s);
}

static enum status read_ripple(struct reader *reader, const struct ini_entry *entry)
{
    return read_bound(reader, entry, QUANTITY_RATIO, 0, &reader->rig.ripple);
}

static enum status read_sense(struct reader *reader, const struct ini_entry *entry)
{
    return ini_yes(reader->ini, entry, &reader->rig.sense_leads, reader->message);
}

static enum status read_tally(struct reader *reader, const struct ini_entry *entry)
{
    static const char *const same[] = {"same shunt", "same meter", "same", NULL};
    static const char *const own[] = {"own shunt", "own meter", "own", NULL};
    bool shares = name_find(span_of(entry->value), same) >= 0;
    if (!shares && name_find(span_of(entry->value), own) < 0) {
        ini_fault(reader->ini, entry, 0, reader->message, "`%s` should say whose shunt the tally counts",
                  entry->value);
        return status_remedy(reader->message,
                             "write `tally = same shunt`, or `tally = own` and its accuracy under "
                             "[charge tally] and [energy tally]");
    }
    reader->rig.tally_shares_meter = shares;
    return STATUS_OK;
}

/* `3 mohm ± 1 mohm`. A bare value is taken as known to half of it: common practice, no source. */
static enum status read_leads(struct reader *reader, const struct ini_entry *entry)
{
    struct amount leads;
    size_t used;
    enum status status = amount_read(span_of(entry->value), '\0', &leads, &used, reader->message);
    if (status != STATUS_OK)
        return place(reader, entry, status);
    if (used == 0 || entry->value[used] != '\0' || leads.quantity != QUANTITY_RESISTANCE ||
        !(leads.value >= 0)) {
        ini_fault(reader->ini, entry, 0, reader->message, "`%s` should be the resistance of the leads",
                  entry->value);
        return status_remedy(reader->message,
                             "write it like `leads = 3 mohm ± 1 mohm`, or `sense leads = yes` when "
                             "the volts are taken at the sample's terminals");
    }
    reader->rig.lead_ohm = leads.value;
    reader->rig.lead_halfwidth_ohm = leads.form == AMOUNT_PLAIN ? leads.value / 2 : (leads.hi - leads.lo) / 2;
    return STATUS_OK;
}

/* `29.97 fps, ±1 frame`; `variable, ±0.1 s`. One frame where no bound is stated. */
static enum status read_film(struct reader *reader, const struct ini_entry *entry)
{
    static const char *const bound[] = {"±", "+/-", "+-", NULL}, *const comma[] = {",", NULL};
    struct span value = span_of(entry->value);
    struct frame_rate rate;
    size_t used, more = 0;
    enum status status = frame_rate_read(value, &rate, &used, reader->message);
    if (status != STATUS_OK)
        return place(reader, entry, status);
    struct amount width = {AMOUNT_PLAIN, QUANTITY_COUNT_OF, 1, 1, 1, 1};
    used += blanks_at(span_from(value, used));
    used += spelling_at(span_from(value, used), comma);
    used += blanks_at(span_from(value, used));
    used += spelling_at(span_from(value, used), bound);
    used += blanks_at(span_from(value, used));
    if (used < value.n)
        status = amount_read(span_from(value, used), '\0', &width, &more, reader->message);
    if (status != STATUS_OK)
        return place(reader, entry, status);
    bool in_frames = width.quantity == QUANTITY_COUNT_OF && !rate.variable;
    if (used + more != value.n || !(width.value >= 0) || !(in_frames || width.quantity == QUANTITY_TIME)) {
        ini_fault(reader->ini, entry, used, reader->message,
                  "how well an instant can be told from the film should stand here");
        return status_remedy(reader->message,
                             "write it like `film = 29.97 fps, ±1 frame` or `film = variable, ±0.1 s`");
    }
    reader->rig.frame_s = in_frames ? width.value / rate.per_s : width.value;
    return STATUS_OK;
}

/* What belongs to the rig as a whole: stands in any section, once. */
static const struct {
    const char *key;
    enum status (*read)(struct reader *reader, const struct ini_entry *entry);
} wide[] = {
    {"name", read_name},           {"clock", read_clock},   {"film", read_film},
    {"averaging", read_averaging}, {"skew", read_skew},     {"leads", read_leads},
    {"sense leads", read_sense},   {"ripple", read_ripple}, {"probe lag", read_probe_lag},
    {"tally", read_tally},
};
enum { WIDE = sizeof wide / sizeof *wide };

static enum status read_wide(struct reader *reader)
{
    for (size_t k = 0; k < WIDE; k++) {
        const struct ini_entry *entry;
        enum status status = ini_optional(reader->ini, NULL, wide[k].key, &entry, reader->message);
        if (status == STATUS_OK && entry != NULL)
            status = wide[k].read(reader, entry);
        if (status != STATUS_OK)
            return status;
    }
    return STATUS_OK;
}

static enum status read_shunt(struct reader *reader)
{
    const struct ini_entry *entry;
    enum status status = ini_optional(reader->ini, NULL, "shunt", &entry, reader->message);
    if (status != STATUS_OK || entry == NULL)
        return status;
    status = shunt_read(span_of(entry->value), &reader->shunt, reader->message);
    if (status != STATUS_OK)
        return place(reader, entry, status);
    reader->rig.of[CHANNEL_CURRENT].shunt_gain = reader->shunt.gain;
    return STATUS_OK;
}

/* `current resolution` is of channel `current`. */
static int channel_before(const char *key, const char *word)
{
    for (int c = 0; c < CHANNELS; c++) {
        char both[64];
        snprintf(both, sizeof both, "%s %s", channel_name((enum channel)c), word);
        if (name_alike(span_of(key), both))
            return c;
    }
    return -1;
}

static enum status unknown_key(const struct reader *reader, const struct ini_entry *entry, bool of_channel)
{
    const char *known[WIDE + CHANNELS + 6 + RIG_LINKS_KEYS];
    size_t n = rig_links_keys(reader->ini, entry->section, known);
    if (n == 0 && !of_channel)
        known[n++] = "driver";
    if (of_channel)
        known[n++] = "accuracy", known[n++] = "resolution";
    for (int c = 0; c < CHANNELS && !of_channel; c++)
        known[n++] = channel_name((enum channel)c);
    for (size_t k = 0; k < WIDE; k++)
        known[n++] = wide[k].key;
    known[n++] = "shunt", known[n++] = "note", known[n] = NULL;
    const char *near = name_nearest(span_of(entry->key), known);
    char list[400];
    name_list(known, list, sizeof list);
    ini_fault(reader->ini, entry, 0, reader->message, "a rig has no `%s`%s%s", entry->key,
              of_channel ? " of its " : "", of_channel ? entry->section : "");
    if (near != NULL)
        return status_remedy(reader->message, "`%s` was meant, perhaps", near);
    return status_remedy(reader->message, "known here are: %s", list);
}

static bool is_wide(const char *key)
{
    static const char *const others[] = {"shunt", "note", NULL};
    for (size_t k = 0; k < WIDE; k++)
        if (name_alike(span_of(key), wide[k].key))
            return true;
    return name_find(span_of(key), others) >= 0;
}

static enum status read_channels(struct reader *reader)
{
    for (size_t k = 0; k < reader->ini->count; k++) {
        const struct ini_entry *entry = &reader->ini->entries[k];
        if (is_wide(entry->key) || rig_links_own(reader->ini, entry))
            continue;
        int section = channel_of(entry->section), channel;
        enum status status;
        if (section >= 0 && name_alike(span_of(entry->key), "accuracy"))
            status = read_accuracy(reader, entry, section);
        else if (section >= 0 && name_alike(span_of(entry->key), "resolution"))
            status = read_resolution(reader, entry, section);
        else if (section < 0 && (channel = channel_of(entry->key)) >= 0)
            status = read_accuracy(reader, entry, channel);
        else if (section < 0 && (channel = channel_before(entry->key, "resolution")) >= 0)
            status = read_resolution(reader, entry, channel);
        else
            status = unknown_key(reader, entry, section >= 0);
        if (status != STATUS_OK)
            return status;
    }
    return STATUS_OK;
}

/* A tally that counts the meter's own amps is as far off in its slope as they are; one that counts
 * watt-hours has the volts' slope on top. Bounds add. */
static void derive_tallies(struct rig *rig)
{
    const struct accuracy *v = &rig->of[CHANNEL_VOLTAGE], *a = &rig->of[CHANNEL_CURRENT];
    struct accuracy *charge = &rig->of[CHANNEL_CHARGE_TALLY], *energy = &rig->of[CHANNEL_ENERGY_TALLY];
    if (!rig->tally_shares_meter)
        return;
    if (!charge->stated && a->stated) {
        double resolution = charge->resolution;
        *charge = (struct accuracy){.gain = a->gain,
                                    .shunt_gain = a->shunt_gain,
                                    .digits = 1,
                                    .resolution = resolution,
                                    .stated = true,
                                    .as_printed = "slope as the current's, + 1 digit"};
    }
    if (!energy->stated && a->stated && v->stated) {
        double resolution = energy->resolution;
        *energy = (struct accuracy){.gain = a->gain + v->gain,
                                    .shunt_gain = a->shunt_gain,
                                    .digits = 1,
                                    .resolution = resolution,
                                    .stated = true,
                                    .as_printed = "slopes of current and voltage, + 1 digit"};
    }
}

static void name_defaults(const struct rig *rig, struct notices *notices)
{
    struct text list = TEXT_EMPTY;
    for (int c = 0; c < CHANNELS; c++)
        if (!rig->of[c].stated)
            text_addf(&list, "%s%s (%s)", list.length > 0 ? ", " : "", channel_name((enum channel)c),
                      rig->of[c].as_printed);
    if (list.length > 0)
        notices_add(notices, "rig", 0,
                    "The rig file states no accuracy for these channels, and the wide default stands "
                    "for each: %s.",
                    text_string(&list));
    text_free(&list);
}

/* FNV-1a (Fowler, Noll, Vo; IETF draft), folded to the 22 bits that rig_source leaves to a rig. 1 is
 * the default rig's. */
static uint32_t identity_of(struct span text)
{
    uint32_t hash = 2166136261u;
    for (size_t k = 0; k < text.n; k++)
        hash = (hash ^ (unsigned char)text.p[k]) * 16777619u;
    return 2 + (hash ^ hash >> 22) % ((1u << 22) - 2);
}

enum status rig_read_text(const char *path, struct span text, struct rig *ret_rig, struct notices *notices,
                          struct message *message)
{
    struct ini ini;
    enum status status = ini_read_text(path, text, &ini, message);
    if (status != STATUS_OK)
        return status;
    struct reader reader = {.ini = &ini, .rig = rig_default(), .shunt = {NAN, NAN, NAN}, .message = message};
    struct rig *rig = &reader.rig;
    const char *slash = strrchr(path, '/');
    span_copy(span_of(slash != NULL ? slash + 1 : path), rig->name, sizeof rig->name);
    span_copy(span_of(path), rig->path, sizeof rig->path);
    rig->identity = identity_of(text);
    status = read_wide(&reader);
    if (status == STATUS_OK)
        status = read_shunt(&reader);
    if (status == STATUS_OK)
        status = read_channels(&reader);
    struct links links = {0}; /* for their faults */
    if (status == STATUS_OK)
        status = rig_links_of(&ini, &links, message);
    links_free(&links);
    ini_free(&ini);
    if (status != STATUS_OK)
        return status;
    if (rig->sense_leads)
        rig->lead_ohm = rig->lead_halfwidth_ohm = 0;
    derive_tallies(rig);
    name_defaults(rig, notices);
    *ret_rig = *rig;
    return STATUS_OK;
}

enum status rig_read(const char *path, struct rig *ret_rig, struct notices *notices, struct message *message)
{
    struct text text = TEXT_EMPTY;
    enum status status = ini_load(path, &text, message);
    if (status == STATUS_OK)
        status =
            rig_read_text(path, (struct span){text_string(&text), text.length}, ret_rig, notices, message);
    text_free(&text);
    return status;
}
