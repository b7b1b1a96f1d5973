/* intake/rig_file.h: what is read is finite and no bound is negative; what is refused has a place. */
#include "intake/rig_file.h"

#include <stdint.h>

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size);

static bool sound(double halfwidth)
{
    return isfinite(halfwidth) && halfwidth >= 0;
}

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size)
{
    struct notices notices = {0};
    struct message message = {0};
    struct rig rig;
    if (rig_read_text("fuzz.rig", (struct span){(const char *)data, size}, &rig, &notices, &message) != STATUS_OK) {
        if (message.line < 1 || message.what[0] == '\0' || notices.count > 0)
            abort();
        return 0;
    }
    for (int c = 0; c < CHANNELS; c++) {
        const struct accuracy *a = &rig.of[c];
        if (!sound(a->gain) || !sound(a->shunt_gain) || !sound(a->offset) || !sound(a->digits) || !sound(a->resolution))
            abort();
    }
    if (!sound(rig.clock) || !sound(rig.frame_s) || !sound(rig.averaging_s) || !sound(rig.lead_ohm) ||
        !sound(rig.lead_halfwidth_ohm) || rig.identity < 2)
        abort();
    notices_free(&notices);
    return 0;
}
