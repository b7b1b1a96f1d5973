/* intake/ini.h: a file is read whole or refused with a place in it; what is read lies in the file. */
#include "intake/ini.h"

#include <stdint.h>

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size);

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size)
{
    struct span text = {(const char *)data, size};
    struct message message = {0};
    struct ini ini;
    if (ini_read_text("fuzz.ini", text, &ini, &message) != STATUS_OK) {
        if (message.line < 1 || message.what[0] == '\0')
            abort();
        return 0;
    }
    for (size_t k = 0; k < ini.count; k++) {
        const struct ini_entry *entry = &ini.entries[k];
        double value, digit;
        bool yes;
        if (entry->line < 1 || entry->column < 2 || entry->key[0] == '\0' ||
            memmem(text.p, text.n, entry->value, strlen(entry->value)) == NULL)
            abort();
        for (int q = 0; q < QUANTITIES; q++)
            if (ini_quantity(&ini, entry, (enum quantity)q, &value, &digit, &message) == STATUS_OK &&
                !(isfinite(value) && digit > 0))
                abort();
        ini_yes(&ini, entry, &yes, &message);
    }
    ini_free(&ini);
    return 0;
}
