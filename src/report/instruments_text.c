#include "report/instruments_text.h"

#include "base/number.h"
#include "instrument/rig_cautions.h"
#include "report/lines.h"

#include <ctype.h>

enum { WIDTH = 100 };

double instruments_bound(const struct rig *rig, const struct link_channel *channel,
                         const struct probe_channel *heard)
{
    if (channel->channel == CHANNELS || isnan(heard->value))
        return NAN;
    return accuracy_bound(&rig->of[channel->channel], heard->value, heard->digit);
}

/* Decimals by which a step of that size shows. */
static int decimals_of(double digit)
{
    return isfinite(digit) && digit > 0 ? (int)fmin(fmax(ceil(-log10(digit) - 1e-9), 0), 9) : 3;
}

static void add_value(struct text *text, const struct probe_channel *heard, const char *symbol)
{
    char value[64];
    snprintf(value, sizeof value, "%.*f", decimals_of(heard->digit), fabs(heard->value));
    text_addf(text, "%s%s %s", heard->value < 0 ? "−" : "", value, symbol);
}

static void add_padded(struct text *text, const char *words, size_t width)
{
    text_add(text, words);
    for (size_t n = text_width(words); n < width; n++)
        text_add(text, " ");
}

static size_t wider(size_t width, const char *words)
{
    return text_width(words) > width ? text_width(words) : width;
}

/* `12.904 V ± 0.032 V`; the bound where it is known. */
static void add_bounded(struct text *text, const struct rig *rig, const struct link_channel *channel,
                        const struct probe_channel *heard)
{
    const char *symbol = quantity_symbol(channel->quantity);
    double bound = instruments_bound(rig, channel, heard);
    char number[64];
    add_value(text, heard, symbol);
    if (!isfinite(bound))
        return;
    number_print(bound, bound, number, sizeof number);
    text_addf(text, " ± %s %s", number, symbol);
}

/* `voltage   12.904 V ± 0.032 V   noise 0.0012 V   10 readings` */
static void add_channel(struct text *text, const struct rig *rig, const struct link_channel *channel,
                        const struct probe_channel *heard, size_t name_width)
{
    const char *symbol = quantity_symbol(channel->quantity);
    struct text value = TEXT_EMPTY;
    char number[64];
    text_add(text, "  ");
    add_padded(text, channel->name, name_width);
    if (heard->count == 0 && heard->overloads == 0) {
        text_addf(text, " no value came from `%s`\n", channel->source);
        return;
    }
    if (heard->count == 0) {
        text_add(text, " beyond its range in every reading\n");
        return;
    }
    add_bounded(&value, rig, channel, heard);
    text_add(text, " ");
    add_padded(text, text_string(&value), 24);
    text_free(&value);
    number_print(heard->noise, heard->noise, number, sizeof number);
    if (heard->noise > 0)
        text_addf(text, "  noise %s %s", number, symbol);
    else
        text_add(text, isnan(heard->noise) ? "  noise not known" : "  no noise seen");
    text_addf(text, ", %zu reading%s", heard->count, heard->count > 1 ? "s" : "");
    if (heard->overloads > 0)
        text_addf(text, ", %zu beyond its range", heard->overloads);
    if (channel->channel == CHANNELS)
        text_add(text, "; kept, no part of the findings");
    else if (!rig->of[channel->channel].stated)
        text_add(text, "; wide default, not stated");
    text_add(text, "\n");
}

static void add_fault(struct text *text, const struct message *fault)
{
    if (fault->status == STATUS_OK)
        return;
    text_add(text, "  ");
    lines_wrap(fault->what, 2, WIDTH, text);
    if (fault->remedy[0] == '\0')
        return;
    char remedy[sizeof fault->remedy];
    span_copy(span_of(fault->remedy), remedy, sizeof remedy);
    remedy[0] = (char)toupper((unsigned char)remedy[0]);
    text_add(text, "    ");
    lines_wrap(remedy, 4, WIDTH, text);
}

void instruments_probe_words(const struct rig *rig, const struct probe *probes, size_t count,
                             struct text *text)
{
    for (size_t k = 0; k < count; k++) {
        const struct probe *probe = &probes[k];
        size_t name_width = 0;
        for (int c = 0; c < probe->link->channel_count; c++)
            name_width = wider(name_width, probe->link->channels[c].name);
        text_addf(text, "[%s] %s%s%s\n", probe->link->name, probe->link->driver,
                  probe->link->address[0] != '\0' ? ", " : "", probe->link->address);
        if (probe->identity[0] != '\0')
            text_addf(text, "  calls itself %s\n", probe->identity);
        for (int c = 0; c < probe->link->channel_count && probe->readings > 0; c++)
            add_channel(text, rig, &probe->link->channels[c], &probe->channels[c], name_width);
        if (probe->garbage > 0)
            text_addf(text, "  %zu time%s something came that is no reading; the last:\n", probe->garbage,
                      probe->garbage > 1 ? "s" : "");
        add_fault(text, &probe->fault);
        text_add(text, "\n");
    }
    text_add(text, "Before a test is connected:\n");
    for (size_t k = 0; rig_cautions[k] != NULL; k++)
        text_add(text, "- "), lines_wrap(rig_cautions[k], 2, WIDTH, text);
}

static void add_heard_words(json_t *object, const struct rig *rig, const struct link_channel *channel,
                            const struct probe_channel *heard)
{
    struct text words = TEXT_EMPTY;
    if (heard->count > 0)
        add_bounded(&words, rig, channel, heard);
    json_put_words(object, "words", text_string(&words));
    text_free(&words);
}

static json_t *channel_json(const struct rig *rig, const struct link_channel *channel,
                            const struct probe_channel *heard)
{
    json_t *object = json_object();
    double bound = instruments_bound(rig, channel, heard);
    json_put_words(object, "name", channel->name);
    json_put_words(object, "source", channel->source);
    json_put_words(object, "unit", quantity_symbol(channel->quantity));
    json_put(object, "reading", json_number(heard->value));
    add_heard_words(object, rig, channel, heard);
    json_put(object, "digit", json_number(heard->digit));
    json_put(object, "noise", json_number(heard->noise));
    json_put(object, "bound", json_number(bound));
    json_put(object, "accuracy stated",
             json_boolean(channel->channel != CHANNELS && rig->of[channel->channel].stated));
    json_put(object, "readings", json_integer((json_int_t)heard->count));
    json_put(object, "overloads", json_integer((json_int_t)heard->overloads));
    return object;
}

json_t *json_of_probes(const struct rig *rig, const struct probe *probes, size_t count)
{
    json_t *all = json_object(), *instruments = json_array(), *cautions = json_array();
    json_put_words(all, "rig", rig->name);
    for (size_t k = 0; k < count; k++) {
        const struct probe *probe = &probes[k];
        json_t *object = json_object(), *channels = json_array();
        json_put_words(object, "name", probe->link->name);
        json_put_words(object, "driver", probe->link->driver);
        json_put_words(object, "address", probe->link->address);
        json_put_words(object, "identity", probe->identity);
        json_put(object, "readings", json_integer((json_int_t)probe->readings));
        json_put(object, "garbage", json_integer((json_int_t)probe->garbage));
        bool faulty = probe->fault.status != STATUS_OK;
        json_put(object, "fault", faulty ? json_words(probe->fault.what) : json_null());
        json_put(object, "remedy",
                 faulty && probe->fault.remedy[0] != '\0' ? json_words(probe->fault.remedy) : json_null());
        for (int c = 0; c < probe->link->channel_count; c++)
            json_array_append_new(channels,
                                  channel_json(rig, &probe->link->channels[c], &probe->channels[c]));
        json_put(object, "channels", channels);
        json_array_append_new(instruments, object);
    }
    for (size_t k = 0; rig_cautions[k] != NULL; k++)
        json_array_append_new(cautions, json_words(rig_cautions[k]));
    json_put(all, "instruments", instruments);
    json_put(all, "cautions", cautions);
    return all;
}

static void finish(json_t *all, struct text *text)
{
    json_add_text(all, false, text);
    text_add(text, "\n");
    json_decref(all);
}

void instruments_probe_json(const struct rig *rig, const struct probe *probes, size_t count,
                            struct text *text)
{
    finish(json_of_probes(rig, probes, count), text);
}

void instruments_list_words(const struct devices *devices, const struct driver *const *among,
                            struct text *text)
{
    text_add(text,
             devices->count > 0 ? "Plugged in:\n" : "No serial line and no USBTMC device is plugged in.\n");
    for (size_t k = 0; k < devices->count; k++) {
        const struct device *device = &devices->items[k];
        text_add(text, "  ");
        add_padded(text, device->address, 28);
        text_addf(text, " %s%s\n", device->about,
                  device->ours ? ""
                               : " (not yours to open: join the group that owns it, dialout or plugdev)");
    }
    text_add(text, "\nDrivers:\n");
    for (size_t k = 0; among[k] != NULL; k++) {
        text_add(text, "  ");
        add_padded(text, among[k]->name, 8);
        text_addf(text, " %s\n", among[k]->about);
    }
    text_add(text, "\ndocs/instruments.md shows the lines of a rig file for each.\n");
}

json_t *json_of_devices(const struct devices *devices, const struct driver *const *among)
{
    json_t *all = json_object(), *plugged = json_array(), *drivers_known = json_array();
    for (size_t k = 0; k < devices->count; k++) {
        json_t *object = json_object();
        json_put_words(object, "address", devices->items[k].address);
        json_put_words(object, "about", devices->items[k].about);
        json_put(object, "usable", json_boolean(devices->items[k].ours));
        json_array_append_new(plugged, object);
    }
    for (size_t k = 0; among[k] != NULL; k++) {
        json_t *object = json_object();
        json_put_words(object, "name", among[k]->name);
        json_put_words(object, "about", among[k]->about);
        json_array_append_new(drivers_known, object);
    }
    json_put(all, "devices", plugged);
    json_put(all, "drivers", drivers_known);
    return all;
}

void instruments_list_json(const struct devices *devices, const struct driver *const *among,
                           struct text *text)
{
    finish(json_of_devices(devices, among), text);
}
