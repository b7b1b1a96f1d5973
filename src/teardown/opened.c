#include "teardown/opened.h"

#include "base/memory.h"

const char *const opened_kind_words[OPENED_KINDS + 1] = {
    "conductor", "bus bar", "balance leads", "fuse", "board", "sensor", "cells",
    "case",      "vent",    "seal",          "compression", "wiring", "other", NULL};

const char *opened_grade_name(enum opened_grade grade)
{
    static const char *const names[] = {"", "good", "fair", "poor"};
    return names[grade];
}

enum status opened_read_text(const char *path, struct span text, struct opened *ret_opened, struct message *message)
{
    (void)text, (void)ret_opened;
    status_fail(message, STATUS_UNREADABLE, "files of opened samples cannot be read yet");
    status_at(message, path, 0, 0);
    return STATUS_UNREADABLE;
}

enum status opened_read(const char *path, struct opened *ret_opened, struct message *message)
{
    return opened_read_text(path, (struct span){0}, ret_opened, message);
}

void opened_free(struct opened *opened)
{
    *opened = (struct opened){0};
}
