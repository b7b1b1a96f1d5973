/* Book transfer: `rundown book export BOOK FOLDER` and `rundown book import FOLDER BOOK`. */
#ifndef RUNDOWN_CLI_BOOK_TRANSFER_H
#define RUNDOWN_CLI_BOOK_TRANSFER_H

#include "base/status.h"

#include <stdbool.h>

enum status book_transfer_export(const char *path, const char *folder, bool json, struct message *message);
enum status book_transfer_import(const char *folder, const char *path, bool json, struct message *message);

#endif
