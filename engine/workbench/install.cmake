# SPDX-License-Identifier: MIT
# What `cmake --install` puts where: libraries and their headers under include/canebrake, a CMake package, two
# pkg-config files, schemas and documents.
include(CMakePackageConfigHelpers)

set(package ${CMAKE_INSTALL_LIBDIR}/cmake/canebrake)
foreach(room models engine)
    install(DIRECTORY ${PROJECT_SOURCE_DIR}/${room} DESTINATION ${CMAKE_INSTALL_INCLUDEDIR}/canebrake
            FILES_MATCHING PATTERN "*.h")
endforeach()
install(FILES ${PROJECT_SOURCE_DIR}/engine/workbench/c_face.h
        DESTINATION ${CMAKE_INSTALL_INCLUDEDIR} RENAME canebrake.h)
install(EXPORT canebrake_targets NAMESPACE canebrake:: DESTINATION ${package})
configure_package_config_file(${CMAKE_CURRENT_LIST_DIR}/canebrake-config.cmake.in
                              ${PROJECT_BINARY_DIR}/canebrake-config.cmake INSTALL_DESTINATION ${package})
write_basic_package_version_file(${PROJECT_BINARY_DIR}/canebrake-config-version.cmake
                                 COMPATIBILITY SameMinorVersion)
install(FILES ${PROJECT_BINARY_DIR}/canebrake-config.cmake ${PROJECT_BINARY_DIR}/canebrake-config-version.cmake
        DESTINATION ${package})
foreach(file canebrake canebrake-c)
    configure_file(${CMAKE_CURRENT_LIST_DIR}/${file}.pc.in ${PROJECT_BINARY_DIR}/${file}.pc @ONLY)
    install(FILES ${PROJECT_BINARY_DIR}/${file}.pc DESTINATION ${CMAKE_INSTALL_LIBDIR}/pkgconfig)
endforeach()
install(DIRECTORY ${PROJECT_SOURCE_DIR}/assets/docs/schemas DESTINATION ${CMAKE_INSTALL_DATADIR}/canebrake)
install(DIRECTORY ${PROJECT_SOURCE_DIR}/assets/kits ${PROJECT_SOURCE_DIR}/assets/scores
                  ${PROJECT_SOURCE_DIR}/assets/phrases DESTINATION ${CMAKE_INSTALL_DATADIR}/canebrake)
