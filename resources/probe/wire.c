#include "wire.h"

enum status command_check(const struct command *command, uint8_t length)
{
    static const uint8_t sizes[] = {[IDENTIFY] = 2, [START] = 6, [STOP] = 2,   [MUTE] = 4, [DRIVE] = 4,
                                    [DRIVE_AT] = 8, [SERVO] = 11, [LAMP] = 5, [PING] = 2, [BAUD] = 6};
    if (command->order >= sizeof sizes || !sizes[command->order])
        return UNKNOWN_COMMAND;
    return length == sizes[command->order] ? DONE : WRONG_FIELD;
}
