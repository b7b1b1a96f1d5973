/* instrument/line_form.h: whatever comes, a line is a reading with some value or a message without a control
 * character, and a JSON value found lies within its line. The first byte chooses the form. */
#include "instrument/field.h"
#include "instrument/json_field.h"
#include "instrument/line_form.h"
#include "intake/rig_links.h"

#include <stdint.h>

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size);

static const char *const forms[] = {
    "voltage from = field 1\ncurrent from = field 2 in mA\ntime from = field 3\n",
    "voltage from = field 2\nseparator = blank\ndecimal = comma\n",
    "voltage from = key v\ncurrent from = key pack.i\ncell 2 voltage from = key cells.2\ntime from = key t\n",
    "pattern = U=([0-9.]+)V( I=(.*)A)?\nvoltage from = group 1\ncurrent from = group 3\n",
};

static void check_json(struct span line)
{
    static const char *const paths[] = {"v", "pack.i", "cells.2", "1.1.a", ""};
    bool sound = json_field_sound(line, NULL);
    for (size_t k = 0; k < sizeof paths / sizeof *paths; k++) {
        struct span value;
        if (!json_field_find(line, span_of(paths[k]), &value))
            continue;
        if (value.p < line.p || value.p + value.n > line.p + line.n)
            abort();
        if (sound && !json_field_sound(value, NULL)) /* a sound object's values are sound */
            abort();
    }
}

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size)
{
    char text[512];
    struct links links;
    struct line_form *form;
    struct message message = {0};
    struct arrival arrival = {0};
    if (size == 0)
        return 0;
    snprintf(text, sizeof text, "[m]\ndriver = lines\naddress = stdin\n%s", forms[data[0] % 4]);
    if (rig_links_read_text("fuzz.rig", span_of(text), &links, &message) != STATUS_OK ||
        line_form_new(&links.items[0], &form, &message) != STATUS_OK)
        abort();
    struct span line = {(const char *)data + 1, size - 1};
    if (line_form_read(form, line, &arrival, &message)) {
        bool some = false;
        for (int k = 0; k < links.items[0].channel_count; k++)
            some |= arrival.cells[k].kind != DECIMAL_MISSING;
        if (!some)
            abort();
    } else if (message.what[0] == '\0') {
        abort();
    }
    for (const char *c = message.what; *c != '\0'; c++)
        if ((unsigned char)*c < 0x20)
            abort();
    check_json(line);
    line_form_free(form);
    links_free(&links);
    return 0;
}
