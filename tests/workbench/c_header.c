/* SPDX-License-Identifier: MIT */
#include "engine/workbench/c_face.h"

int canebrake_faces_agree(void)
{
    return canebrake_face() == CANEBRAKE_FACE;
}
